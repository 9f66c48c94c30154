import { cholesky, solveLower, solveLowerTransposed } from '../math/linear-algebra.ts';
import { type Design, errorCovariance } from './design.ts';
import { type Kernel, LAST_RANGE, STEPS_PER_RANGE } from './kernel.ts';

/** How the bottom varies: by `kernel`, `sill` m^2 over `range` m, `ratio` times as far along the direction (cos, sin). */
export interface Variation {
  readonly kernel: Kernel;
  readonly range: number;
  readonly sill: number;
  /** 1 or more: range along the direction over range across it. */
  readonly ratio: number;
  /** Direction of the longer range: east and north parts of a unit vector. */
  readonly cos: number;
  readonly sin: number;
  /** Factor on the noise variance of every block: rough ground and careless positions look like noise. */
  readonly noise: number;
}

/** A Gaussian process with a linear trend, fitted to the first `n` blocks of a design. */
export interface Fit {
  readonly design: Design;
  readonly n: number;
  readonly variation: Variation;
  /** Cholesky factor of the covariance, row-major, `n` a row. */
  readonly factor: Float64Array;
  /** Trend columns (1, east, north in `TREND` m) solved with the factor. */
  readonly trend: readonly [Float64Array, Float64Array, Float64Array];
  /** Covariance of the trend coefficients, 3 x 3 row-major. */
  readonly trendCovariance: Float64Array;
  readonly coefficients: Float64Array;
  /** Inverse covariance times the residuals. */
  readonly alpha: Float64Array;
  /** Restricted log likelihood, less a constant. */
  readonly likelihood: number;
}

/** m; unit of the trend's east and north, of the order of the distances there are. */
export const TREND = 50;

/** Inverse variance of the trend's tilt: 0.03 m/m in units of `TREND`; more runs off beyond the last pass. */
const TILT_PRECISION = 1 / (0.03 * TREND) ** 2;

/** Even in all directions. */
export const isotropic = (kernel: Kernel, range: number, sill: number): Variation => ({
  kernel,
  range,
  sill,
  ratio: 1,
  cos: 1,
  sin: 0,
  noise: 1,
});

/** Room for a factor and the columns solved with it, used again by every candidate of a search. */
export interface FitRoom {
  readonly factor: Float64Array;
  readonly trend: readonly [Float64Array, Float64Array, Float64Array];
  readonly residual: Float64Array;
}

export const makeFitRoom = (n: number): FitRoom => ({
  factor: new Float64Array(n * n),
  trend: [new Float64Array(n), new Float64Array(n), new Float64Array(n)],
  residual: new Float64Array(n),
});

/** What both the likelihood and the fit need. */
interface Solved {
  readonly trendCovariance: Float64Array;
  readonly coefficients: Float64Array;
  readonly likelihood: number;
}

/**
 * Restricted log likelihood of one way of varying, less a constant; undefined when the covariance is singular.
 *
 * @param errors Of `errorCovariance`, for the same `n`. @param room For `n` blocks; overwritten.
 */
export function likelihoodOf(
  design: Design,
  n: number,
  variation: Variation,
  errors: Float64Array,
  room: FitRoom,
): number | undefined {
  return solve(design, n, variation, errors, room)?.likelihood;
}

/** Fits the process to the first `n` blocks for one way of varying; undefined when the covariance is singular. */
export function fitProcess(design: Design, n: number, variation: Variation): Fit | undefined {
  const room = makeFitRoom(n);
  const solved = solve(design, n, variation, errorCovariance(design, n), room);
  if (solved === undefined) return undefined;
  const { factor, trend, residual: alpha } = room;
  const [c, e, m] = solved.coefficients;
  for (let i = 0; i < n; i++) alpha[i] -= trend[0][i] * c + trend[1][i] * e + trend[2][i] * m;
  solveLowerTransposed(factor, n, n, alpha);
  return { design, n, variation, factor, trend, alpha, ...solved };
}

/**
 * Factor of the covariance, trend and depths solved with it, and the trend's generalized least squares.
 *
 * The trend's level has a flat prior, its tilt one so wide that it only matters on a single line: `likelihood` is the restricted one (Rasmussen & Williams 2006, eq. 2.45).
 */
function solve(
  design: Design,
  n: number,
  variation: Variation,
  errors: Float64Array,
  { factor, trend, residual }: FitRoom,
): Solved | undefined {
  fillCovariance(design, n, variation, errors, factor);
  if (!cholesky(factor, n, n)) return undefined;
  for (let i = 0; i < n; i++) {
    trend[0][i] = 1;
    trend[1][i] = design.east[i] / TREND;
    trend[2][i] = design.north[i] / TREND;
    residual[i] = design.depth[i];
  }
  for (const column of trend) solveLower(factor, n, n, column);
  solveLower(factor, n, n, residual);
  const products = symmetricProducts(trend);
  products[4] += TILT_PRECISION;
  products[8] += TILT_PRECISION;
  const { inverse, determinant } = invertSymmetric3(products);
  if (!(determinant > 0)) return undefined;
  const right = trend.map((column) => dot(column, residual));
  const coefficients = new Float64Array(3);
  for (let i = 0; i < 3; i++) for (let j = 0; j < 3; j++) coefficients[i] += inverse[3 * i + j] * right[j];
  let logDeterminant = 0;
  for (let i = 0; i < n; i++) logDeterminant += Math.log(factor[i * n + i]);
  const fall = dot(residual, residual) - right.reduce((sum, r, i) => sum + r * coefficients[i], 0);
  const likelihood = -logDeterminant - 0.5 * Math.log(determinant) - 0.5 * fall;
  return { trendCovariance: inverse, coefficients, likelihood };
}

/** Lower triangle of the covariance of the first `n` blocks: bottom plus errors. One loop: it is the hot one. */
function fillCovariance(
  design: Design,
  n: number,
  variation: Variation,
  errors: Float64Array,
  out: Float64Array,
): void {
  const { east, north, shape } = design;
  const { range, sill, ratio, cos, sin } = variation;
  const more = variation.noise - 1;
  const table = variation.kernel.value;
  const step = STEPS_PER_RANGE / range;
  const along = step / ratio;
  const last = LAST_RANGE * STEPS_PER_RANGE;
  for (let i = 0; i < n; i++) {
    const row = i * n;
    const e = east[i];
    const m = north[i];
    const z = shape === undefined ? 0 : shape[i];
    for (let j = 0; j <= i; j++) {
      const de = e - east[j];
      const dn = m - north[j];
      const u = (cos * de + sin * dn) * along;
      const v = (cos * dn - sin * de) * step;
      let square = u * u + v * v;
      if (shape !== undefined) {
        const w = (z - shape[j]) * STEPS_PER_RANGE;
        square += w * w;
      }
      const t = Math.sqrt(square);
      let k = 0;
      if (t < last) {
        const s = t | 0;
        k = table[s] + (t - s) * (table[s + 1] - table[s]);
      }
      out[row + j] = errors[row + j] + sill * k;
    }
    out[row + i] += more * design.noise[i];
  }
}

export function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}

/** 3 x 3 products of three columns, row-major. */
function symmetricProducts(columns: readonly Float64Array[]): Float64Array {
  const out = new Float64Array(9);
  for (let i = 0; i < 3; i++)
    for (let j = 0; j <= i; j++) out[3 * i + j] = out[3 * j + i] = dot(columns[i], columns[j]);
  return out;
}

/** Inverse and determinant of a symmetric 3 x 3 matrix, by cofactors. */
function invertSymmetric3(m: Float64Array): { inverse: Float64Array; determinant: number } {
  const [a, b, c, , d, e, , , f] = m;
  const aa = d * f - e * e;
  const ab = c * e - b * f;
  const ac = b * e - c * d;
  const bc = b * c - a * e;
  const determinant = a * aa + b * ab + c * ac;
  const inverse = Float64Array.of(aa, ab, ac, ab, a * f - c * c, bc, ac, bc, a * d - b * b);
  return { inverse: inverse.map((v) => v / determinant), determinant };
}
