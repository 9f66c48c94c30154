import { findRuns, makeBlocks, trackSpacing } from '../../shared/bottom/blocks.ts';
import { type CovarianceParams, isotropic, likelihoodUnder } from '../../shared/bottom/covariance.ts';
import { GaussianProcess } from '../../shared/bottom/gaussian-process.ts';
import type { LocalSoundings } from '../../shared/bottom/local-rows.ts';
import { makeObservations, type Observations, pickObservations } from '../../shared/bottom/observations.ts';
import type { Answer } from './bottom-errors.ts';

/** Maximum distance of the nearest block from the mark, m. */
const RADIUS = 118;
/** Radius within which blocks have their shortest length, m. */
const NEAR = 55;
/** Maximum number of observations used to estimate the covariance, nearest first. */
const SEARCHED = 90;
/** Standard deviation of a pass's position offset, m. */
const OFFSET = 1;
/** Standard deviation of a pass's depth bias, m. */
const BIAS = 0.05;
/** Maximum standard deviation of a pass's whole error, m. */
const MAX_BIAS = 0.3;
/** Prior standard deviation of the tilt, m/m, wide enough to leave the tilt to the soundings. */
const WIDE_TILT = 0.5;
/** Noise of one sounding, m. */
const NOISE = 0.11;

/**
 * Runs a basic version of the project's own method, to show what the further steps of the latter gain: a
 * Gaussian process with isotropic Matern 3/2 covariance and a linear trend. Every pass has one depth error,
 * from its bias and from a position offset of 1 m at the root mean square gradient. There is no direction, no
 * second fit and no treatment of outliers.
 */
export function plainProcessAnswer(soundings: LocalSoundings): Answer | undefined {
  const runs = findRuns(soundings);
  const spacing = trackSpacing(soundings, runs, 100);
  const near = Math.max(5, spacing / 6);
  const blocks = makeBlocks(soundings, runs, { near, thin: near, far: Math.max(12, near) }, NEAR);
  if (blocks.count < 6) return undefined;
  const noise = new Float64Array(blocks.count).fill(NOISE);
  const all = withPassError(makeObservations({ ...blocks, noise }));
  const inner = pickObservations(
    all,
    Int32Array.from({ length: Math.min(SEARCHED, all.count) }, (_, i) => i),
  );
  const likelihoodOf = likelihoodUnder(inner);
  const variance = planeVariance(inner);
  let best: CovarianceParams | undefined;
  let most = Number.NEGATIVE_INFINITY;
  for (const r of [0.9, 1.6, 3]) {
    for (const q of [0.2, 1, 5]) {
      const params = isotropic(r * spacing, q * variance, WIDE_TILT);
      const likelihood = likelihoodOf(params);
      if (likelihood <= most) continue;
      most = likelihood;
      best = params;
    }
  }
  const process = best && GaussianProcess.fit(all, best);
  if (process === undefined || Math.hypot(all.east[0], all.north[0]) > RADIUS) return undefined;
  const [depth, east, north] = process.posteriorAt(0, 0).mean;
  return {
    depth,
    slope: (Math.atan(Math.hypot(east, north)) * 180) / Math.PI,
    aspect: ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360,
  };
}

/** Replaces bias, offset and latency with one error for all blocks of a pass. */
function withPassError(all: Observations): Observations {
  let steep = 0;
  for (let i = 0; i < all.count; i++)
    steep += (all.gradientEast[i] ** 2 + all.gradientNorth[i] ** 2) / all.count;
  return {
    ...all,
    bias: all.bias.map(() => Math.min(MAX_BIAS, Math.hypot(BIAS, OFFSET * Math.sqrt(steep))) ** 2),
    gradientEast: new Float64Array(all.count),
    gradientNorth: new Float64Array(all.count),
  };
}

/** Returns the mean square deviation of the depths from their best plane, m^2, at least 0.003. */
function planeVariance(all: Observations): number {
  const plane = GaussianProcess.fit(all, isotropic(1e4, 1e-6, WIDE_TILT));
  if (plane === undefined) return 0.01;
  let sum = 0;
  for (let i = 0; i < all.count; i++)
    sum += (all.depth[i] + all.zero - plane.meanAt(all.east[i], all.north[i])) ** 2 / all.count;
  return Math.max(sum, 0.003);
}
