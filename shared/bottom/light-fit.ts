import { thinCrowded } from './crowded.ts';
import { WIDE_SPACING } from './gates.ts';
import { lookUp } from './kernel.ts';
import { type LightDesign, lightDesign } from './light-design.ts';
import { dot, LightProcess, type LightVariation, SMOOTH, TREND } from './light-process.ts';
import { findLightVariation } from './light-search.ts';
import type { Posterior } from './predict.ts';
import { type BlockedSoundings, NEAR_RADIUS, usualNoise } from './surface.ts';

/** Blocks with which a surface can be fitted at all. */
const LEAST_BLOCKS = 6;
/** Blocks nearest the waypoint from which the way of varying is read; of cells fewer do, as each stands for many soundings. */
const SEARCHED = 40;
const SEARCHED_CELLS = 32;
/** Blocks that the surface is fitted to. */
const FITTED = 48;
/** Standard deviations beyond which a block's own error is not believed to be noise. */
const BLOCK_LIMIT = 4;
/** Ring on which the uncertainty between passes is looked at, m. */
const RING = 24;

/** What a light fit knows of the waypoint. */
export interface LightFit {
  readonly posterior: Posterior;
  /** Mean standard deviation of the depth 24 m from the waypoint, m; 0 where passes are not so wide apart that it matters. */
  readonly ringDeviation: number;
  /** Standard deviation of what is rougher than the fit can follow, m. */
  readonly roughness: number;
}

/**
 * Depth and gradient at the origin from the nearest blocks alone, at a tenth of the cost of `fitSurface`.
 *
 * The same process without shape coordinate and second pass. @returns undefined when the blocks are under 6, or when
 * they do not determine a surface.
 */
export function fitLight({
  blocks,
  passSpacing,
  isOfCells = false,
}: Omit<BlockedSoundings, 'soundings'>): LightFit | undefined {
  if (blocks.count < LEAST_BLOCKS) return undefined;
  const design = lightDesign(thinCrowded(blocks, NEAR_RADIUS), FITTED);
  const near = new LightProcess(design, Math.min(isOfCells ? SEARCHED_CELLS : SEARCHED, design.count));
  const process = new LightProcess(design, design.count);
  let variation = findLightVariation(near, passSpacing, !isOfCells);
  if (variation === undefined || !isFitted(process, variation)) return undefined;
  if (doubtBlocks(process, variation)) {
    variation = findLightVariation(near, passSpacing, !isOfCells) ?? variation;
    if (!isFitted(process, variation)) return undefined;
  }
  return {
    posterior: posteriorAtOrigin(process, variation),
    ringDeviation: passSpacing > WIDE_SPACING ? ringDeviation(process, variation) : 0,
    roughness: Math.sqrt((variation.noise - 1) * usualNoise(design.noise)),
  };
}

const isFitted = (process: LightProcess, variation: LightVariation): boolean =>
  process.fit(variation) > Number.NEGATIVE_INFINITY;

/** Raises the noise of blocks that stand off from all around them; see `outliers.ts`. @returns true if there are any. */
function doubtBlocks(process: LightProcess, variation: LightVariation): boolean {
  const { noise, errors }: LightDesign = process.design;
  const alpha = process.alpha();
  let isAny = false;
  for (let i = 0; i < process.n; i++) {
    const variance = variation.noise * noise[i];
    const error = variance * alpha[i];
    if (error * error <= BLOCK_LIMIT ** 2 * variance) continue;
    const doubted = Math.max(4 * error * error, 100 * noise[i]);
    errors[(i * (i + 3)) / 2] += doubted - noise[i];
    noise[i] = doubted;
    isAny = true;
  }
  return isAny;
}

/** Mean and covariance of depth and gradient at the origin. */
function posteriorAtOrigin(process: LightProcess, variation: LightVariation): Posterior {
  const { design, n, coefficients, trendCovariance } = process;
  const rows = originRows(design, n, variation);
  for (const row of rows) solveLower(process.factor, n, row);
  const solved = [0, 1, 2, 3].map((r) => process.factor.subarray((n + r) * n, (n + r + 1) * n));
  // What the trend's columns leave to the coefficients: (1, 0, 0) for depth, 1 / TREND for each gradient.
  const trends = rows.map((row, want) =>
    [0, 1, 2].map((t) => (t === want ? (t === 0 ? 1 : 1 / TREND) : 0) - dot(solved[t], row)),
  );
  const mean = rows.map(
    (row, r) => dot(solved[3], row) + trends[r].reduce((sum, trend, t) => sum + trend * coefficients[t], 0),
  );
  const covariance = priorCovariance(variation);
  for (let i = 0; i < 3; i++) {
    for (let j = 0; j < 3; j++) {
      covariance[3 * i + j] += quadraticForm(trendCovariance, trends[i], trends[j]) - dot(rows[i], rows[j]);
    }
  }
  return { mean: [design.zero + mean[0], mean[1], mean[2]], covariance };
}

/** Covariance of the origin's depth, east and north gradient with each block. */
function originRows(
  { east, north }: LightDesign,
  n: number,
  { range, sill, ratio, cos, sin }: LightVariation,
): [Float64Array, Float64Array, Float64Array] {
  const rows: [Float64Array, Float64Array, Float64Array] = [
    new Float64Array(n),
    new Float64Array(n),
    new Float64Array(n),
  ];
  for (let i = 0; i < n; i++) {
    const u = -(cos * east[i] + sin * north[i]) / (range * ratio);
    const v = -(cos * north[i] - sin * east[i]) / range;
    const r = Math.sqrt(u * u + v * v);
    const fall = -sill * lookUp(SMOOTH.fall, r);
    const along = (fall * u) / (range * ratio);
    const across = (fall * v) / range;
    rows[0][i] = sill * lookUp(SMOOTH.value, r);
    rows[1][i] = cos * along - sin * across;
    rows[2][i] = sin * along + cos * across;
  }
  return rows;
}

/** Covariance of depth and gradient before any sounding, 3 x 3 row-major. */
function priorCovariance({ range, sill, ratio, cos, sin }: LightVariation): Float64Array {
  const along = (sill * SMOOTH.curvature) / (range * ratio) ** 2;
  const across = (sill * SMOOTH.curvature) / range ** 2;
  const en = (along - across) * cos * sin;
  const ee = along * cos * cos + across * sin * sin;
  const nn = along * sin * sin + across * cos * cos;
  return Float64Array.of(sill, 0, 0, 0, ee, en, 0, en, nn);
}

/** Mean standard deviation of the depth over 8 bearings of the ring, m. */
function ringDeviation(process: LightProcess, { range, sill, ratio, cos, sin }: LightVariation): number {
  const { design, n, factor } = process;
  let sum = 0;
  for (let k = 0; k < 8; k++) {
    const east = RING * Math.sin((Math.PI * k) / 4);
    const north = RING * Math.cos((Math.PI * k) / 4);
    const row = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      const de = east - design.east[i];
      const dn = north - design.north[i];
      const u = (cos * de + sin * dn) / (range * ratio);
      const v = (cos * dn - sin * de) / range;
      row[i] = sill * lookUp(SMOOTH.value, Math.sqrt(u * u + v * v));
    }
    solveLower(factor, n, row);
    const trend = [1, east / TREND, north / TREND].map(
      (want, t) => want - dot(factor.subarray((n + t) * n, (n + t + 1) * n), row),
    );
    const variance = sill - dot(row, row) + quadraticForm(process.trendCovariance, trend, trend);
    sum += Math.sqrt(Math.max(variance, 0)) / 8;
  }
  return sum;
}

/** a^T M b of a 3 x 3 matrix. */
function quadraticForm(m: Float64Array, a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let s = 0; s < 3; s++) for (let t = 0; t < 3; t++) sum += a[s] * m[3 * s + t] * b[t];
  return sum;
}

/** Solves L x = b in place for a lower triangular L, `n` a row. */
function solveLower(l: Float64Array, n: number, b: Float64Array): void {
  for (let i = 0; i < n; i++) {
    let sum = b[i];
    for (let k = 0; k < i; k++) sum -= l[i * n + k] * b[k];
    b[i] = sum / l[i * n + i];
  }
}
