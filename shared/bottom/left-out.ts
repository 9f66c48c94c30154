import { cholesky, solveLower } from '../math/linear-algebra.ts';
import { type Design, pickBlocks } from './design.ts';
import { matern32 } from './kernel.ts';
import { doubtBlocks } from './outliers.ts';
import type { Posterior } from './predict.ts';
import { dot, type Fit, fitProcess, isotropic, type Variation } from './process.ts';
import { planeVariance } from './variation-search.ts';
import { gradientOverWindow } from './window-gradient.ts';

/** Blocks that are fitted: within so many distances between passes of the waypoint, and no more than so many. */
const REACH = 3.5;
const MOST_BLOCKS = 100;
/** Blocks that are foretold: within so many distances between passes of the waypoint, of so many of the nearest legs. */
const NEAR = 1.75;
const NEAR_LEGS = 5;
/** Blocks of a leg that are worth leaving out. */
const LEAST_OF_LEG = 2;
/** Ranges tried, in distances between passes, and the sill, in variances of the depths about their plane. */
const RANGES = [1.2, 1.8, 2.7];
const SILL = 5;
/** The range under which blocks are doubted, the middle one. */
const DOUBT_RANGE = RANGES[1];
/** How much further the range is along a direction, and the directions tried. */
const RATIO = 1.7;
const DIRECTIONS = 6;
/** Log density that a direction must gain to weigh as much as none. */
const DIRECTION_COST = 1;
/** Log density over which a weight falls by e: blocks of one leg tell less than if their errors were their own. */
const TEMPERATURE = 2;

const KERNEL = matern32();

/**
 * Depth and gradient over a window round the origin: the mean of many fits with breaks of slope, each with the weight
 * that it earns by foretelling the near legs, left out one by one, from all others.
 *
 * The likelihood of all blocks is made by what is next to each other along the passes, and there are many ways of varying
 * with nearly the same; what is asked for is how the ground goes on from pass to pass. No shape coordinate: it supposes
 * faces between even ground. Weights: pseudo-Bayesian model averaging by predictive density (Yao et al. 2018, Bayesian
 * Analysis 13(3), doi:10.1214/17-BA1091), here of a whole leg at a time.
 *
 * @param design With the bottom's gradient at every block. @param half Half the side of the window, m.
 * @returns undefined where there are no two legs near, or when no fit is determined without one of them.
 */
export function foretellLegs(design: Design, passSpacing: number, half: number): Posterior | undefined {
  const near = nearBlocks(design, passSpacing);
  if (near === undefined) return undefined;
  const sill = SILL * planeVariance(near.blocks, near.blocks.count);
  const blocks = doubted(near.blocks, isotropic(KERNEL, DOUBT_RANGE * passSpacing, sill));
  const scores: number[] = [];
  const posteriors: Posterior[] = [];
  for (const variation of candidates(passSpacing, sill)) {
    const fit = fitProcess(blocks, blocks.count, variation);
    const density = fit && leftOutDensity(fit, near.legs, near.first);
    if (fit === undefined || density === undefined) continue;
    scores.push(density - (variation.ratio > 1 ? DIRECTION_COST : 0));
    posteriors.push(gradientOverWindow(fit, half));
  }
  if (scores.length === 0) return undefined;
  const best = Math.max(...scores);
  return mixPosteriors(
    posteriors,
    scores.map((score) => Math.exp((score - best) / TEMPERATURE)),
  );
}

/** The design with the blocks doubted that stand off from all others. */
function doubted(design: Design, variation: Variation): Design {
  const fit = fitProcess(design, design.count, variation);
  return fit === undefined ? design : doubtBlocks(fit);
}

/** Blocks near the origin, the furthest first, with the rows of each leg left out; those from `first` on are near. */
function nearBlocks(
  design: Design,
  passSpacing: number,
): { blocks: Design; legs: readonly (readonly number[])[]; first: number } | undefined {
  const distance = Array.from(design.east, (east, i) => Math.hypot(east, design.north[i]));
  const within = (reach: number): number => {
    const count = distance.findIndex((d) => d >= reach);
    return count < 0 ? design.count : count;
  };
  const count = Math.min(MOST_BLOCKS, within(REACH * passSpacing));
  const nearCount = Math.min(count, within(NEAR * passSpacing));
  const legs = new Map<number, number[]>();
  for (let i = 0; i < nearCount; i++) {
    const row = count - 1 - i;
    const rows = legs.get(design.leg[i]);
    if (rows !== undefined) rows.push(row);
    else if (legs.size < NEAR_LEGS) legs.set(design.leg[i], [row]);
  }
  const worth = [...legs.values()].filter((rows) => rows.length >= LEAST_OF_LEG);
  if (worth.length < 2) return undefined;
  const furthestFirst = Int32Array.from({ length: count }, (_, i) => count - 1 - i);
  return {
    blocks: pickBlocks({ ...design, shape: undefined }, furthestFirst),
    legs: worth,
    first: count - nearCount,
  };
}

/** Ways of varying: some ranges, each even in all directions and longer along six. @param sill m^2. */
function candidates(passSpacing: number, sill: number): Variation[] {
  return RANGES.flatMap((range) => {
    const even = isotropic(KERNEL, range * passSpacing, sill);
    const turned = Array.from({ length: DIRECTIONS }, (_, k) => {
      const angle = (k * Math.PI) / DIRECTIONS;
      return { ...even, ratio: RATIO, cos: Math.cos(angle), sin: Math.sin(angle) };
    });
    return [even, ...turned];
  });
}

/**
 * Log density of the depths of each leg given all blocks but its own, summed over the legs, less a constant.
 *
 * Nothing is fitted again: with Q the inverse covariance less what the trend takes up, the error of foretelling blocks g
 * is Q_gg^-1 (Q z)_g with covariance Q_gg^-1 (Dubrule 1983, Math. Geology 15(6), doi:10.1007/BF01033232). Blocks near the
 * origin come last, so their part of Q follows from the last rows of the factor.
 *
 * @param legs Rows of each leg. @param first Not above any of these rows.
 * @returns undefined when a leg is not determined by the rest.
 */
export function leftOutDensity(
  fit: Fit,
  legs: readonly (readonly number[])[],
  first: number,
): number | undefined {
  let sum = 0;
  for (const rows of legs) {
    const k = rows.length;
    const q = inverseOf(fit, rows, first);
    if (!cholesky(q, k, k)) return undefined;
    const error = Float64Array.from(rows, (row) => fit.alpha[row]);
    solveLower(q, k, k, error);
    for (let i = 0; i < k; i++) sum += Math.log(q[k * i + i]);
    sum -= 0.5 * dot(error, error);
  }
  return sum;
}

/** Lower triangle of Q for some rows, row-major. @param first Not above any of them. */
function inverseOf(
  { n, factor, trend, trendCovariance }: Fit,
  rows: readonly number[],
  first: number,
): Float64Array {
  const columns = rows.map((row) => {
    const column = new Float64Array(n - first);
    column[row - first] = 1;
    // What stands before the row stays zero.
    solveLower(factor.subarray(row * (n + 1)), n - row, n, column, row - first);
    return column;
  });
  const trends = trend.map((column) => column.subarray(first));
  const taken = columns.map((column) => trends.map((t) => dot(t, column)));
  const k = rows.length;
  const q = new Float64Array(k * k);
  for (let i = 0; i < k; i++) {
    for (let j = 0; j <= i; j++) {
      let c = dot(columns[i], columns[j]);
      for (let s = 0; s < 3; s++)
        for (let t = 0; t < 3; t++) c -= taken[i][s] * trendCovariance[3 * s + t] * taken[j][t];
      q[k * i + j] = c;
    }
  }
  return q;
}

/**
 * Mean and covariance of depth and gradient when they are one of several, each with a weight.
 *
 * What the several differ by counts as uncertainty.
 */
export function mixPosteriors(posteriors: readonly Posterior[], weights: readonly number[]): Posterior {
  const total = weights.reduce((sum, w) => sum + w, 0);
  const mean = [0, 0, 0];
  for (const [k, posterior] of posteriors.entries())
    for (let i = 0; i < 3; i++) mean[i] += (weights[k] / total) * posterior.mean[i];
  const covariance = new Float64Array(9);
  for (const [k, posterior] of posteriors.entries()) {
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) {
        const apart = (posterior.mean[i] - mean[i]) * (posterior.mean[j] - mean[j]);
        covariance[3 * i + j] += (weights[k] / total) * (posterior.covariance[3 * i + j] + apart);
      }
    }
  }
  return { mean: [mean[0], mean[1], mean[2]], covariance };
}
