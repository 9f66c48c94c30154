import { LAST_RANGE, STEPS_PER_RANGE } from './kernel.ts';
import { type LightMemory, type LightVariation, MOST_LIGHT, SMOOTH } from './light-memory.ts';

/** m; unit of the trend's east and north. */
export const TREND = 50;
/** Rows of the trend's three columns and of the depths. */
export const TREND_ROWS = 4;
/** Table steps beyond which correlation is taken as zero. */
export const LAST = LAST_RANGE * STEPS_PER_RANGE;
/** Inverse variance of the trend's tilt: 0.5 m/m in units of `TREND`. */
const TILT_PRECISION = 1 / (0.5 * TREND) ** 2;
/** Pivots below this are rounding noise of depths in meters. */
const TINY = 1e-12;
/** Pivots whose logarithm is taken at once: their product stays far from the ends of a number's range. */
const PIVOTS = 4;

/** Columns of a factor for some blocks. */
export const widthOf = (blocks: number): number => (blocks + 3) & ~3;

/**
 * Restricted log likelihood, less a constant, of one way of varying; -Infinity when the covariance is singular.
 *
 * The trend's level has a flat prior, its tilt one so wide that it only matters on a single line (Rasmussen &
 * Williams 2006, eq. 2.45). The plain form of `assembly/fit.ts`: each sum is taken in the same order.
 *
 * @param n Blocks, an even number. @param below Rows below the blocks in the factor, a multiple of 4: those of the trend, and
 * others that already stand there and are only solved with it.
 * @param isAlike The correlations are those of the fit before.
 */
export function fitPlainly(
  memory: LightMemory,
  n: number,
  below: number,
  variation: LightVariation,
  isAlike: boolean,
): number {
  const { factor } = memory;
  const height = widthOf(n) + below;
  if (!isAlike) fillCorrelation(memory, n, variation);
  fillCovariance(memory, n, height, variation);
  fillTrend(memory, n, height);
  if (!factorRows(factor, n, height)) return Number.NEGATIVE_INFINITY;
  const determinant = fitTrend(memory, n, height);
  if (!(determinant > 0)) return Number.NEGATIVE_INFINITY;
  let logDeterminant = 0;
  for (let from = 0; from < n; from += PIVOTS) {
    let product = 1;
    for (let k = from; k < Math.min(from + PIVOTS, n); k++) product *= factor[k * height + k];
    logDeterminant += Math.log(product);
  }
  return -logDeterminant - 0.5 * Math.log(determinant) - 0.5 * memory.fall[0];
}

/** Correlations of the first `n` blocks. */
function fillCorrelation(
  { east, north, correlation }: LightMemory,
  n: number,
  { range, ratio, cos, sin }: LightVariation,
): void {
  const table = SMOOTH.value;
  const step = STEPS_PER_RANGE / range;
  const [alongEast, alongNorth] = [(cos * step) / ratio, (sin * step) / ratio];
  const [acrossEast, acrossNorth] = [-sin * step, cos * step];
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      const de = east[i] - east[j];
      const dn = north[i] - north[j];
      const u = alongEast * de + alongNorth * dn;
      const v = acrossEast * de + acrossNorth * dn;
      const t = Math.sqrt(u * u + v * v);
      const s = Math.min(t, LAST) | 0;
      const k = table[s];
      correlation[j * MOST_LIGHT + i] = t < LAST ? k + (t - s) * (table[s + 1] - k) : 0;
    }
  }
}

/** Lower triangle of the covariance of the first `n` blocks: bottom plus errors. */
function fillCovariance(
  { errors, noise, correlation, factor }: LightMemory,
  n: number,
  height: number,
  variation: LightVariation,
): void {
  for (let j = 0; j < n; j++) {
    const from = j * MOST_LIGHT;
    for (let i = j; i < n; i++)
      factor[j * height + i] = errors[from + i] + variation.sill * correlation[from + i];
    factor[j * height + j] += (variation.noise - 1) * noise[j];
  }
}

function fillTrend({ east, north, depth, factor }: LightMemory, n: number, height: number): void {
  for (let j = 0; j < n; j++) {
    const at = j * height + widthOf(n);
    factor[at] = 1;
    factor[at + 1] = east[j] / TREND;
    factor[at + 2] = north[j] / TREND;
    factor[at + 3] = depth[j];
  }
}

/** Cholesky factor in place, the rows below solved with it. @returns false when not positive definite. */
function factorRows(a: Float64Array, n: number, height: number): boolean {
  for (let j = 0; j < n; j++) {
    const column = j * height;
    for (let i = j; i < height; i++) {
      let x = a[column + i];
      for (let k = 0; k < column; k += height) x -= a[k + i] * a[k + j];
      a[column + i] = x;
    }
    if (!(a[column + j] > TINY)) return false;
    const pivot = Math.sqrt(a[column + j]);
    a[column + j] = pivot;
    for (let i = j + 1; i < height; i++) a[column + i] *= 1 / pivot;
  }
  return true;
}

/** Generalized least squares of the trend. @returns determinant of its information. */
function fitTrend(memory: LightMemory, n: number, height: number): number {
  const { factor, trendCovariance: inverse, coefficients } = memory;
  const product = (r: number, s: number): number => dotRows(factor, n, height, r, s);
  const [one, east, north, depth] = [0, 1, 2, 3];
  const a = product(one, one);
  const b = product(one, east);
  const c = product(one, north);
  const d = product(east, east) + TILT_PRECISION;
  const e = product(east, north);
  const f = product(north, north) + TILT_PRECISION;
  const right = [product(one, depth), product(east, depth), product(north, depth)];
  const aa = d * f - e * e;
  const ab = c * e - b * f;
  const ac = b * e - c * d;
  const bc = b * c - a * e;
  const determinant = a * aa + b * ab + c * ac;
  inverse.set([aa, ab, ac, ab, a * f - c * c, bc, ac, bc, a * d - b * b]);
  for (let i = 0; i < 9; i++) inverse[i] /= determinant;
  let fall = product(depth, depth);
  for (let i = 0; i < 3; i++) {
    coefficients[i] =
      inverse[3 * i] * right[0] + inverse[3 * i + 1] * right[1] + inverse[3 * i + 2] * right[2];
    fall -= coefficients[i] * right[i];
  }
  memory.fall[0] = fall;
  return determinant;
}

/** Product of two rows below the blocks. */
export function dotRows(factor: Float64Array, n: number, height: number, r: number, s: number): number {
  let sum = 0;
  for (let k = 0, at = widthOf(n); k < n; k++, at += height) sum += factor[at + r] * factor[at + s];
  return sum;
}
