import type { BottomModel, BottomStatus, Unseen } from '../contract/index.ts';
import { type BlockedSoundings, blockSoundings } from './blocked-soundings.ts';
import { nearestBlock } from './blocks.ts';
import { calibrateDepth } from './calibration.ts';
import { gridAround } from './depth-grid.ts';
import { type DepthMixture, type MarkSounding, mixtureOf, summarize } from './depth-mixture.ts';
import { isTooUnsure, judgeStatus } from './gates.ts';
import type { Posterior } from './gaussian-process.ts';
import type { LocalSoundings } from './local-rows.ts';
import { type MarkUpdate, updateByMark } from './mark-update.ts';
import { fitRobustQuadratic } from './quadratic.ts';
import { type SlopeFields, slopeFields } from './slope-fields.ts';
import { findSupported, supportByDirection } from './support.ts';
import { atWaypoint, fitSurface, roughnessOf, type Surface } from './surface.ts';
import { missedFormChance } from './unseen.ts';

const RING = 24;
const RING_PLACES = 8;
/** Radius of the fallback quadratic, in pass spacings. */
const QUADRATIC_RADIUS = 1.5;

export interface PriorKnowledge {
  /** What the lake hides between its passes; when absent, missed forms do not add to the uncertainty. */
  readonly unseen?: Unseen;
  readonly mark?: MarkSounding;
  /** Standard deviation of a depth error that all places around the waypoint share, m. */
  readonly levelSd?: number;
  /** False to model only depth, slope and aspect at the waypoint, without a grid, at about half the cost. */
  readonly hasGrid?: boolean;
}

/**
 * Models the bottom around a waypoint from the soundings near it.
 *
 * If the fit of `surface.ts` fails, a robust quadratic replaces it, without a grid. If the quadratic fails
 * too, the status is `no-data`.
 *
 * @param soundings East and north in m from the waypoint. East, north and depth must be finite.
 * @param lat Latitude of the waypoint, deg. @param lon Longitude of the waypoint, deg.
 */
export function modelBottom(
  soundings: LocalSoundings,
  lat: number,
  lon: number,
  known: PriorKnowledge = {},
): BottomModel {
  const blocked = blockSoundings(soundings);
  const { passSpacing, blocks } = blocked;
  const coverage = judgeStatus(blocks, passSpacing);
  if (coverage === 'no-data') return noData(blocked, lat, lon);
  const surface = fitSurface(blocked, coverage !== 'ok');
  if (surface === undefined) return modelQuadratic(blocked, coverage, lat, lon, known);
  const isSparse = coverage === 'ok' && isTooUnsure(passSpacing, () => ringDeviation(surface));
  const status: BottomStatus = isSparse ? 'sparse' : coverage;
  const ground = { rough: roughnessOf(surface), bend: blocked.bend };
  const place = { blocked, lat, lon, status, known };
  const { point, update } = pointModel(place, atWaypoint(surface), ground);
  if (known.hasGrid === false) return point;
  const supported = findSupported(blocks, passSpacing);
  const unseen = unseenAt(status, known);
  const grid = gridAround(surface, blocked, supported, { unseen, level: known.levelSd });
  return {
    ...point,
    grid: update === undefined ? grid : update.applyTo(grid),
    support: supportByDirection(supported),
  };
}

/** Raises `unseen.factor` to at least 1 where passes do not surround the waypoint. */
const unseenAt = (status: BottomStatus, { unseen }: PriorKnowledge): Unseen | undefined =>
  unseen !== undefined && (status === 'edge' || status === 'one-pass')
    ? { ...unseen, factor: Math.max(1, unseen.factor) }
    : unseen;

/** Returns the mean standard deviation of the depth on a ring around the waypoint, m, not calibrated. */
function ringDeviation({ process, coordinate }: Surface): number {
  let sum = 0;
  for (let k = 0; k < RING_PLACES; k++) {
    const bearing = (2 * Math.PI * k) / RING_PLACES;
    const [east, north] = [RING * Math.sin(bearing), RING * Math.cos(bearing)];
    const { covariance } = process.posteriorAt(east, north, coordinate.at(east, north));
    sum += Math.sqrt(Math.max(0, covariance[0]));
  }
  return sum / RING_PLACES;
}

interface Place {
  readonly blocked: BlockedSoundings;
  readonly lat: number;
  readonly lon: number;
  readonly status: BottomStatus;
  readonly known: PriorKnowledge;
}

/** Models the waypoint alone, without a grid; `update` holds the effect of the depth recorded in the mark. */
function pointModel(
  { blocked: { passSpacing, soundings, blocks }, lat, lon, status, known }: Place,
  posterior: Posterior,
  { rough, bend }: { readonly rough: number; readonly bend: number },
): { point: BottomModel; update?: MarkUpdate } {
  const { mark, levelSd } = known;
  const unseen = unseenAt(status, known);
  const own = Math.sqrt(Math.max(posterior.covariance[0], 0));
  const distance = nearestBlock(blocks, 0, 0);
  const sd = Math.hypot(calibrateDepth(own, passSpacing), rough);
  const [depth, east, north] = posterior.mean;
  const hidden = unseen && { unseen, distance, gradient: Math.hypot(east, north) };
  const passes: DepthMixture = mixtureOf(depth, sd, { hidden, level: levelSd });
  const form = unseen && { chance: missedFormChance(unseen, distance), ...unseen };
  const slopes = (of: Posterior): SlopeFields => slopeFields(of, status, passSpacing, { rough, bend, form });
  const before = slopes(posterior);
  const update = mark && updateByMark(posterior, passes, before, mark);
  return {
    point: {
      status,
      lat,
      lon,
      passSpacing,
      soundings,
      ...summarize(update?.mixture ?? passes),
      passDepth: summarize(passes),
      ...(update === undefined ? before : slopes(update.posterior)),
      ...(form && { missed: { chance: form.chance, size: form.size, distance } }),
      support: new Float64Array(16),
    },
    update,
  };
}

function modelQuadratic(
  blocked: BlockedSoundings,
  coverage: BottomStatus,
  lat: number,
  lon: number,
  known: PriorKnowledge,
): BottomModel {
  const { blocks, passSpacing, bend } = blocked;
  const fit = fitRobustQuadratic(blocks, QUADRATIC_RADIUS * passSpacing);
  if (fit === undefined) return noData(blocked, lat, lon);
  const [depth, east, north] = fit.coefficients;
  const posterior = { mean: [depth, east, north] as const, covariance: fit.covariance };
  const status = coverage === 'ok' ? 'sparse' : coverage;
  return pointModel({ blocked, lat, lon, status, known }, posterior, { rough: 0, bend }).point;
}

function noData({ soundings }: BlockedSoundings, lat: number, lon: number): BottomModel {
  return {
    status: 'no-data',
    lat,
    lon,
    passSpacing: Number.NaN,
    soundings,
    depth: Number.NaN,
    depthSd: Number.NaN,
    interval: [Number.NaN, Number.NaN],
    support: new Float64Array(16),
  };
}
