import { solveSymmetric } from '../math/index.ts';

/** Quadratic surface z = a + b e + c n + d e^2 + f e n + g n^2, with e and n in m from the origin. */
export interface Quadratic {
  /** a in m; b, c in m/m; d, f, g in 1/m. */
  readonly coefficients: Float64Array;
  /** Covariance of a, b, c, 3 x 3 row-major. */
  readonly covariance: Float64Array;
}

const TERMS = 6;

/**
 * Fits a quadratic to depths, m, at places east and north of the origin, m, by weighted least squares.
 *
 * @param scale Unit of distance inside the fit, m; about the distance of the farthest place.
 * @param ridge Penalty on second-order terms, as a share of the sum of weights; 0 for plain least squares.
 * @returns undefined when the places do not determine a quadratic.
 */
export function fitQuadratic(
  east: ArrayLike<number>,
  north: ArrayLike<number>,
  depth: ArrayLike<number>,
  weight: ArrayLike<number>,
  scale: number,
  ridge: number,
): Quadratic | undefined {
  const normal = new Float64Array(TERMS * TERMS);
  const right = new Float64Array(TERMS);
  let total = 0;
  for (let i = 0; i < east.length; i++) {
    const row = terms(east[i] / scale, north[i] / scale);
    total += weight[i];
    for (let p = 0; p < TERMS; p++) {
      right[p] += weight[i] * row[p] * depth[i];
      for (let q = 0; q < TERMS; q++) normal[p * TERMS + q] += weight[i] * row[p] * row[q];
    }
  }
  for (let p = 3; p < TERMS; p++) normal[p * TERMS + p] += ridge * total;
  const solved = solveSymmetric(normal, right, TERMS);
  if (solved === undefined) return undefined;
  const powers = [0, 1, 1, 2, 2, 2];
  const covariance = new Float64Array(9);
  const variance = residualVariance(east, north, depth, weight, scale, solved);
  for (let p = 0; p < 3; p++) {
    const unit = new Float64Array(TERMS);
    unit[p] = 1;
    const column = solveSymmetric(normal, unit, TERMS);
    if (column === undefined) return undefined;
    for (let q = 0; q < 3; q++)
      covariance[3 * p + q] = (variance * column[q]) / scale ** (powers[p] + powers[q]);
  }
  return { coefficients: solved.map((c, p) => c / scale ** powers[p]), covariance };
}

const terms = (e: number, n: number): number[] => [1, e, n, e * e, e * n, n * n];

function residualVariance(
  east: ArrayLike<number>,
  north: ArrayLike<number>,
  depth: ArrayLike<number>,
  weight: ArrayLike<number>,
  scale: number,
  coefficients: Float64Array,
): number {
  let sum = 0;
  let total = 0;
  for (let i = 0; i < east.length; i++) {
    const row = terms(east[i] / scale, north[i] / scale);
    const z = row.reduce((s, t, p) => s + t * coefficients[p], 0);
    sum += weight[i] * (depth[i] - z) ** 2;
    total += weight[i];
  }
  return sum / Math.max(total, 1e-9);
}

const MIN_BLOCKS = 12;
const RIDGE = 1e-3;
const REWEIGHTINGS = 3;

/**
 * Fits a robust quadratic around the origin: tricube weights by distance, then three bisquare reweightings by
 * residual.
 *
 * Used where the Gaussian process cannot be fitted. `npm run accuracy` compares both.
 * Source: Cleveland 1979, J. Am. Stat. Assoc. 74(368).
 *
 * @param radius Only blocks within this distance of the origin count, m.
 * @returns undefined if fewer than 12 blocks are within the radius, or if they determine no quadratic.
 */
export function fitRobustQuadratic(
  blocks: { east: ArrayLike<number>; north: ArrayLike<number>; depth: ArrayLike<number> },
  radius: number,
): Quadratic | undefined {
  const near = Array.from({ length: blocks.east.length }, (_, i) => i).filter(
    (i) => Math.hypot(blocks.east[i], blocks.north[i]) < radius,
  );
  if (near.length < MIN_BLOCKS) return undefined;
  const east = near.map((i) => blocks.east[i]);
  const north = near.map((i) => blocks.north[i]);
  const depth = near.map((i) => blocks.depth[i]);
  const close = near.map((_, k) => (1 - (Math.hypot(east[k], north[k]) / radius) ** 3) ** 3);
  let weight = close;
  let fit = fitQuadratic(east, north, depth, weight, radius, RIDGE);
  for (let round = 0; round < REWEIGHTINGS && fit !== undefined; round++) {
    const c = fit.coefficients;
    const residual = depth.map((z, k) => {
      const row = terms(east[k], north[k]);
      return Math.abs(z - row.reduce((s, t, p) => s + t * c[p], 0));
    });
    const spread = Math.max([...residual].sort((a, b) => a - b)[residual.length >> 1], 0.01);
    weight = close.map((w, k) => w * Math.max(0, 1 - (residual[k] / (6 * spread)) ** 2) ** 2);
    fit = fitQuadratic(east, north, depth, weight, radius, RIDGE) ?? fit;
  }
  return fit;
}
