import type { SoundingIndex, Survey, Unseen } from '../contract/index.ts';
import { type BlockedSoundings, blockSoundings } from './blocked-soundings.ts';
import { type Blocks, nearestBlock, pickBlocks } from './blocks.ts';
import { calibrateDepth } from './calibration.ts';
import { errorCovariances } from './covariance.ts';
import { judgeStatus } from './gates.ts';
import type { GaussianProcess } from './gaussian-process.ts';
import { localRows } from './local-rows.ts';
import { areCells, makeObservations, pickObservations } from './observations.ts';
import { findStops, type PassStop } from './stops.ts';
import { fitRobustly, roughnessOf } from './surface.ts';
import { fitUnseen, forSlope, type LeftOutError } from './unseen.ts';

/** Distance from a stop beyond which soundings are not used, m: the prediction hardly depends on them. */
const REACH = 75;
/** Standard deviations in a left-out leg, m: depth bias, error of one block, position offset. */
const OWN_BIAS = 0.05;
const OWN_NOISE = 0.04;
const OWN_OFFSET = 1;
/** Half of the distance over which the gradient at a stop is measured, m. */
const BASELINE = 3;

/** Estimates what the lake hides between its passes, by leaving out passes and predicting their depths. */
export const estimateUnseen = (survey: Survey, index: SoundingIndex): Unseen =>
  fitUnseen(leavePassesOut(survey, index));

/**
 * Predicts the depth of the block nearest each stop without the block's own leg.
 *
 * Skips stops where blocks are cells or isolated soundings (`areCells`), where the other legs alone do not
 * have the status `ok` (`judgeStatus`), and where the fit fails.
 */
function leavePassesOut(survey: Survey, index: SoundingIndex): LeftOutError[] {
  return findStops(survey).flatMap((stop) => {
    const rows = index.within(stop.lat, stop.lon, REACH);
    const found = leaveOut(blockSoundings(localRows(survey, rows, stop.lat, stop.lon), REACH), stop);
    return found === undefined ? [] : [found];
  });
}

function leaveOut(
  { blocks, passSpacing }: BlockedSoundings,
  { isMarkLike }: PassStop,
): LeftOutError | undefined {
  if (blocks.count < 2) return undefined;
  const all = makeObservations(blocks);
  if (areCells(all)) return undefined;
  const leg = all.leg[0];
  const rest = pickBlocks(blocks, (i) => blocks.leg[i] !== leg);
  const spacing = spacingWithout(blocks, leg, passSpacing);
  if (rest.count < 6 || judgeStatus(rest, spacing) !== 'ok') return undefined;
  const process = fitRobustly(all, passSpacing);
  const rows = [...all.leg.keys()].filter((i) => all.leg[i] === leg);
  const left = process?.leaveOut(rows);
  if (process === undefined || left === undefined) return undefined;
  const { observations, params } = process;
  const error =
    errorCovariances(pickObservations(observations, Int32Array.of(0)))[0] +
    (params.nugget - 1) * observations.noise[0];
  const variance = Math.max(0, left.variance[0] - error);
  const sd = Math.hypot(calibrateDepth(Math.sqrt(variance), spacing), roughnessOf({ process }));
  const gradient = steepness(process);
  return {
    error: left.residual[0],
    sd: forSlope(sd, gradient),
    distance: nearestBlock(rest, all.east[0], all.north[0]),
    own: OWN_BIAS ** 2 + OWN_NOISE ** 2 + OWN_OFFSET ** 2 * gradient ** 2,
    isMarkLike,
  };
}

function spacingWithout({ count, east, north, leg }: Blocks, out: number, passSpacing: number): number {
  let length = 0;
  for (let i = 1; i < count; i++)
    if (leg[i] === out && leg[i - 1] === out)
      length += Math.hypot(east[i] - east[i - 1], north[i] - north[i - 1]);
  const area = Math.PI * REACH * REACH;
  return area / Math.max(area / passSpacing - length, area / 1000);
}

function steepness(process: GaussianProcess): number {
  const east = process.meanAt(BASELINE, 0) - process.meanAt(-BASELINE, 0);
  const north = process.meanAt(0, BASELINE) - process.meanAt(0, -BASELINE);
  return Math.hypot(east, north) / (2 * BASELINE);
}
