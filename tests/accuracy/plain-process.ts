import { findRuns, type LocalSoundings, makeBlocks } from '../../shared/bottom/blocks.ts';
import { type Design, errorCovariance, makeDesign } from '../../shared/bottom/design.ts';
import { matern52 } from '../../shared/bottom/kernel.ts';
import { trackSpacing } from '../../shared/bottom/pass-spacing.ts';
import { gradientAt } from '../../shared/bottom/predict.ts';
import {
  fitProcess,
  isotropic,
  likelihoodOf,
  makeFitRoom,
  type Variation,
} from '../../shared/bottom/process.ts';
import type { Answer } from './bottom-errors.ts';

const KERNEL = matern52();
/** m; soundings further away are not used. */
const RADIUS = 118;
/** m; blocks stand close within this distance. */
const NEAR = 55;
/** Blocks from which the way of varying is read. */
const SEARCHED = 90;
/** m; position offset of a pass, and its depth bias. */
const OFFSET = 1;
const BIAS = 0.05;
const MOST_BIAS = 0.3;
/** m; noise of one sounding. */
const NOISE = 0.11;

/**
 * The plain form of the project's own method, to measure what its further steps gain: a Gaussian process of even
 * Matern 5/2 variation with a linear trend, in which every pass has one depth error of its own, as large as a
 * position offset of 1 m makes it at the mean slope along the passes. No direction, no second fit, no doubt.
 */
export function plainProcessAnswer(soundings: LocalSoundings): Answer | undefined {
  const runs = findRuns(soundings);
  const spacing = trackSpacing(soundings, runs, 100);
  const near = Math.max(5, spacing / 6);
  const blocks = makeBlocks(soundings, runs, { near, thin: near, far: Math.max(12, near) }, NEAR);
  if (blocks.count < 6) return undefined;
  const design = withPassError(makeDesign({ ...blocks, noise: new Float64Array(blocks.count).fill(NOISE) }));
  const inner = Math.min(SEARCHED, design.count);
  const errors = errorCovariance(design, inner);
  const room = makeFitRoom(inner);
  const variance = planeVariance(design, inner);
  let best: Variation | undefined;
  let most = Number.NEGATIVE_INFINITY;
  for (const r of [0.9, 1.6, 3]) {
    for (const q of [0.2, 1, 5]) {
      const variation = isotropic(KERNEL, r * spacing, q * variance);
      const likelihood = likelihoodOf(design, inner, variation, errors, room);
      if (likelihood === undefined || likelihood <= most) continue;
      most = likelihood;
      best = variation;
    }
  }
  const fit = best === undefined ? undefined : fitProcess(design, design.count, best);
  if (fit === undefined || Math.hypot(design.east[0], design.north[0]) > RADIUS) return undefined;
  const [depth, east, north] = gradientAt(fit, 0, 0);
  return {
    depth,
    slope: (Math.atan(Math.hypot(east, north)) * 180) / Math.PI,
    aspect: ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360,
  };
}

/** One error for all blocks of a pass in place of bias, offset and lag. */
function withPassError(design: Design): Design {
  let steep = 0;
  for (let i = 0; i < design.count; i++)
    steep += (design.gradientEast[i] ** 2 + design.gradientNorth[i] ** 2) / design.count;
  const error = Math.min(MOST_BIAS, Math.hypot(BIAS, OFFSET * Math.sqrt(steep)));
  return {
    ...design,
    bias: new Float64Array(design.legs).fill(error ** 2),
    gradientEast: new Float64Array(design.count),
    gradientNorth: new Float64Array(design.count),
  };
}

/** Mean square of the depths about their plane, m^2. */
function planeVariance(design: Design, n: number): number {
  const trend = fitProcess(design, n, isotropic(KERNEL, 1e4, 1e-6));
  if (trend === undefined) return 0.01;
  const [level, east, north] = trend.coefficients;
  let sum = 0;
  for (let i = 0; i < n; i++)
    sum += (design.depth[i] - level - (east * design.east[i] + north * design.north[i]) / 50) ** 2 / n;
  return Math.max(sum, 0.003);
}
