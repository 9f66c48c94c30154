import { solveLower } from '../math/linear-algebra.ts';
import { LAST_RANGE, lookUp, STEPS_PER_RANGE } from './kernel.ts';
import { dot, type Fit, TREND } from './process.ts';

/** Third coordinate of a place, in ranges, and its change per meter east and north. */
export type ShapeAt = readonly [value: number, east: number, north: number];

const LEVEL: ShapeAt = [0, 0, 0];

/** Expected depth at a place, m. */
export function meanAt(fit: Fit, east: number, north: number, shape = 0): number {
  const { design, alpha, n, variation, coefficients } = fit;
  const { kernel, range, sill, ratio, cos, sin } = variation;
  const table = kernel.value;
  const step = STEPS_PER_RANGE / range;
  const along = step / ratio;
  const last = LAST_RANGE * STEPS_PER_RANGE;
  const blockEast = design.east;
  const blockNorth = design.north;
  const blockShape = design.shape;
  let sum = 0;
  for (let i = 0; i < n; i++) {
    const de = east - blockEast[i];
    const dn = north - blockNorth[i];
    const u = (cos * de + sin * dn) * along;
    const v = (cos * dn - sin * de) * step;
    let square = u * u + v * v;
    if (blockShape !== undefined) {
      const w = (shape - blockShape[i]) * STEPS_PER_RANGE;
      square += w * w;
    }
    const t = Math.sqrt(square);
    if (t < last) {
      const s = t | 0;
      sum += alpha[i] * (table[s] + (t - s) * (table[s + 1] - table[s]));
    }
  }
  const trend = coefficients[0] + (coefficients[1] * east + coefficients[2] * north) / TREND;
  return design.zero + trend + sill * sum;
}

/** Expected `[depth, east, north]`: m and rate of deepening, m/m. */
export function gradientAt(
  fit: Fit,
  east: number,
  north: number,
  shape: ShapeAt = LEVEL,
): [number, number, number] {
  const rows = kernelRows(fit, east, north, shape);
  const { coefficients, alpha, design } = fit;
  return [
    design.zero +
      coefficients[0] +
      (coefficients[1] * east + coefficients[2] * north) / TREND +
      dot(rows[0], alpha),
    coefficients[1] / TREND + dot(rows[1], alpha),
    coefficients[2] / TREND + dot(rows[2], alpha),
  ];
}

/** Rate of deepening at every block of a fit without shape coordinate, m/m. One loop: it is a hot one. */
export function gradientsAtBlocks(fit: Fit): { east: Float64Array; north: Float64Array } {
  const { design, alpha, n, variation, coefficients } = fit;
  const { kernel, range, sill, ratio, cos, sin } = variation;
  const table = kernel.fall;
  const step = STEPS_PER_RANGE / range;
  const along = step / ratio;
  const last = LAST_RANGE * STEPS_PER_RANGE;
  const outEast = new Float64Array(n);
  const outNorth = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const e = design.east[i];
    const m = design.north[i];
    let sumAlong = 0;
    let sumAcross = 0;
    for (let j = 0; j < n; j++) {
      const de = e - design.east[j];
      const dn = m - design.north[j];
      const u = (cos * de + sin * dn) * along;
      const v = (cos * dn - sin * de) * step;
      const t = Math.sqrt(u * u + v * v);
      if (t >= last) continue;
      const s = t | 0;
      const fall = alpha[j] * (table[s] + (t - s) * (table[s + 1] - table[s]));
      sumAlong += fall * u;
      sumAcross += fall * v;
    }
    // u and v are in table steps: one division by the range is already in them.
    const a = (-sill * sumAlong) / (STEPS_PER_RANGE * range * ratio);
    const b = (-sill * sumAcross) / (STEPS_PER_RANGE * range);
    outEast[i] = coefficients[1] / TREND + cos * a - sin * b;
    outNorth[i] = coefficients[2] / TREND + sin * a + cos * b;
  }
  return { east: outEast, north: outNorth };
}

/** What the fit knows of one place. */
export interface Posterior {
  /** Depth, m, and rate of deepening east and north, m/m. */
  readonly mean: readonly [depth: number, east: number, north: number];
  /** Covariance of the three, 3 x 3 row-major. */
  readonly covariance: Float64Array;
}

/** Mean and covariance of depth and gradient at a place. */
export function posteriorAt(fit: Fit, east: number, north: number, shape: ShapeAt = LEVEL): Posterior {
  const rows = kernelRows(fit, east, north, shape);
  const mean = gradientAt(fit, east, north, shape);
  for (const row of rows) solveLower(fit.factor, fit.n, fit.n, row);
  const trends = [
    [1, east / TREND, north / TREND],
    [0, 1 / TREND, 0],
    [0, 0, 1 / TREND],
  ].map((want, c) => want.map((value, t) => value - dot(fit.trend[t], rows[c])));
  const covariance = priorCovariance(fit, shape);
  for (let i = 0; i < 3; i++) {
    for (let j = 0; j < 3; j++) {
      let c = covariance[3 * i + j] - dot(rows[i], rows[j]);
      for (let s = 0; s < 3; s++) {
        for (let t = 0; t < 3; t++) c += trends[i][s] * fit.trendCovariance[3 * s + t] * trends[j][t];
      }
      covariance[3 * i + j] = c;
    }
  }
  return { mean, covariance };
}

/** Variance of the depth at a place, m^2. */
export function varianceAt(fit: Fit, east: number, north: number, shape = 0): number {
  const { n, design, variation } = fit;
  const row = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const z = design.shape === undefined ? 0 : shape - design.shape[i];
    row[i] =
      variation.sill *
      lookUp(variation.kernel.value, distance(fit, east - design.east[i], north - design.north[i], z));
  }
  solveLower(fit.factor, n, n, row);
  const want = [1, east / TREND, north / TREND].map((value, t) => value - dot(fit.trend[t], row));
  let variance = variation.sill - dot(row, row);
  for (let s = 0; s < 3; s++)
    for (let t = 0; t < 3; t++) variance += want[s] * fit.trendCovariance[3 * s + t] * want[t];
  return Math.max(variance, 0);
}

/** Correlation of the depths of two places. @param z Difference of their shape coordinates. */
export const correlationOf = (fit: Fit, de: number, dn: number, z: number): number =>
  lookUp(fit.variation.kernel.value, distance(fit, de, dn, z));

/** Distance in ranges. */
function distance(fit: Fit, de: number, dn: number, z: number): number {
  const { range, ratio, cos, sin } = fit.variation;
  const u = (cos * de + sin * dn) / (range * ratio);
  const v = (cos * dn - sin * de) / range;
  return Math.sqrt(u * u + v * v + z * z);
}

/** Covariance of a place's depth, east and north gradient with each block. */
function kernelRows(
  fit: Fit,
  east: number,
  north: number,
  shape: ShapeAt,
): [Float64Array, Float64Array, Float64Array] {
  const { n, design, variation } = fit;
  const { kernel, range, sill, ratio, cos, sin } = variation;
  const rows: [Float64Array, Float64Array, Float64Array] = [
    new Float64Array(n),
    new Float64Array(n),
    new Float64Array(n),
  ];
  for (let i = 0; i < n; i++) {
    const de = east - design.east[i];
    const dn = north - design.north[i];
    const z = design.shape === undefined ? 0 : shape[0] - design.shape[i];
    const r = distance(fit, de, dn, z);
    const fall = -sill * lookUp(kernel.fall, r);
    const u = (cos * de + sin * dn) / (range * ratio) ** 2;
    const v = (cos * dn - sin * de) / range ** 2;
    rows[0][i] = sill * lookUp(kernel.value, r);
    rows[1][i] = fall * (cos * u - sin * v + z * shape[1]);
    rows[2][i] = fall * (sin * u + cos * v + z * shape[2]);
  }
  return rows;
}

/** Covariance of depth and gradient before any sounding, 3 x 3 row-major. */
function priorCovariance(fit: Fit, shape: ShapeAt): Float64Array {
  const { range, sill, ratio, cos, sin } = fit.variation;
  const c = sill * fit.variation.kernel.curvature;
  const along = c / (range * ratio) ** 2;
  const across = c / range ** 2;
  const ee = along * cos * cos + across * sin * sin + c * shape[1] * shape[1];
  const nn = along * sin * sin + across * cos * cos + c * shape[2] * shape[2];
  const en = (along - across) * cos * sin + c * shape[1] * shape[2];
  return Float64Array.of(sill, 0, 0, 0, ee, en, 0, en, nn);
}
