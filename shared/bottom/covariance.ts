import { ABREAST, cholesky, dot, solveLower, solveRowsBelow } from '../math/index.ts';
import { type Kernel, LAST_SQUARE, MATERN_32, PLACE_STEPS } from './kernel.ts';
import type { Observations } from './observations.ts';

export interface CovarianceParams {
  /** Correlation as a function of distance; decides how smooth the bottom is. */
  readonly kernel: Kernel;
  /** Distance at which the correlation is about 0.5, m, across the direction of the longer range. */
  readonly range: number;
  /** Variance of the depth about its trend, m^2. */
  readonly sill: number;
  /** Longer range divided by `range`, 1 or more. */
  readonly ratio: number;
  /** Unit vector along the longer range: `cos` is the east part, `sin` the north part. */
  readonly cos: number;
  readonly sin: number;
  /** Factor on the noise variance, 1 or more: rough ground and wrong positions look like noise. */
  readonly nugget: number;
  /** Prior standard deviation of the trend's tilt, m/m; if large, slopes continue far past the last pass. */
  readonly tilt: number;
}

/** `tilt` where soundings surround the waypoint, m/m; from leave-out tests on real logs. */
export const TILT = 0.03;
/** `tilt` where soundings lie on a line or on one side, m/m; from leave-out tests on real logs. */
export const ONE_SIDED_TILT = 0.015;

export const isotropic = (range: number, sill: number, tilt = TILT): CovarianceParams => ({
  kernel: MATERN_32,
  range,
  sill,
  ratio: 1,
  cos: 1,
  sin: 0,
  nugget: 1,
  tilt,
});

/**
 * Returns the distance between two places, in ranges, from their differences east and north, m, and in the
 * shape coordinate.
 */
export function scaledDistance(params: CovarianceParams, de: number, dn: number, shape: number): number {
  const { range, ratio, cos, sin } = params;
  const u = (cos * de + sin * dn) / (range * ratio);
  const v = (cos * dn - sin * de) / range;
  return Math.sqrt(u * u + v * v + shape * shape);
}

/**
 * Places in three coordinates: along the longer range, across it, and the shape coordinate (`surface.ts`).
 * One range is `PLACE_STEPS` units on every axis, so the Euclidean distance between two places is
 * `PLACE_STEPS` times `scaledDistance`.
 */
export interface ScaledPlaces {
  readonly along: Float64Array;
  readonly across: Float64Array;
  readonly shape: Float64Array;
}

export const emptyPlaces = (n: number): ScaledPlaces => ({
  along: new Float64Array(n),
  across: new Float64Array(n),
  shape: new Float64Array(n),
});

export function scalePlace(
  { range, ratio, cos, sin }: CovarianceParams,
  east: number,
  north: number,
  shape: number,
  out: ScaledPlaces,
  i: number,
): void {
  const step = PLACE_STEPS / range;
  out.along[i] = (cos * east + sin * north) * (step / ratio);
  out.across[i] = (cos * north - sin * east) * step;
  out.shape[i] = shape * PLACE_STEPS;
}

/** Unit of east and north in the trend, m: a usual distance of observations from the waypoint. */
export const TREND = 50;
/** Standard deviation of a leg's position offset, m, east and north each, for a consumer receiver. */
const OFFSET = 1;
/** Standard deviation of the latency of positions, m of travel: about half a second at idle speed. */
const LATENCY = 1;

/** Arrays of a fit. All candidates of a search use the same arrays. */
interface Workspace {
  /**
   * Cholesky factor L of the covariance; below it, `ABREAST` rows that hold the trend, then `ABREAST` scratch
   * rows for predictions (`deviationsAt`).
   */
  readonly factor: Float64Array;
  /** L^-1 times each column of the trend: 1, east / `TREND`, north / `TREND`. */
  readonly trend: readonly [Float64Array, Float64Array, Float64Array];
  /** L^-1 times the depths. */
  readonly residual: Float64Array;
  readonly places: ScaledPlaces;
}

function makeWorkspace(n: number): Workspace {
  const factor = new Float64Array((n + 2 * ABREAST) * n);
  const row = (k: number): Float64Array => factor.subarray(k * n, (k + 1) * n);
  return {
    factor,
    trend: [row(n), row(n + 1), row(n + 2)],
    residual: new Float64Array(n),
    places: emptyPlaces(n),
  };
}

/**
 * Prepares the restricted log likelihood of covariance parameters under some observations.
 *
 * @returns The log likelihood, less a constant, as a function of the parameters; -Infinity where the
 * covariance is singular. A second argument replaces the shape coordinates of the observations.
 */
export function likelihoodUnder(
  observations: Observations,
): (params: CovarianceParams, shape?: Float64Array) => number {
  const errors = errorCovariances(observations);
  const workspace = makeWorkspace(observations.count);
  return (params, shape = observations.shape) =>
    solveWith({ ...observations, shape }, params, errors, workspace)?.likelihood ?? Number.NEGATIVE_INFINITY;
}

export interface Solved extends Workspace {
  readonly trendCovariance: Float64Array;
  readonly coefficients: Float64Array;
  readonly likelihood: number;
}

/**
 * Factors the covariance, solves trend and depths with the factor, and fits the trend by generalized least
 * squares.
 *
 * The prior of the trend's level is flat, so the likelihood is the restricted one (Rasmussen & Williams 2006,
 * eq. 2.45). The prior of the tilt is normal with standard deviation `params.tilt`.
 *
 * @returns undefined where the covariance is singular.
 */
export function solve(observations: Observations, params: CovarianceParams): Solved | undefined {
  const workspace = makeWorkspace(observations.count);
  return solveWith(observations, params, errorCovariances(observations, workspace.factor), workspace);
}

function solveWith(
  observations: Observations,
  params: CovarianceParams,
  errors: Float64Array,
  workspace: Workspace,
): Solved | undefined {
  const { factor, trend, residual, places } = workspace;
  const n = observations.count;
  const { east, north, shape } = observations;
  for (let i = 0; i < n; i++) scalePlace(params, east[i], north[i], shape?.[i] ?? 0, places, i);
  fillCovariance(observations, places, params, errors, factor);
  if (!cholesky(factor, n, { stride: n })) return undefined;
  for (let i = 0; i < n; i++) {
    trend[0][i] = 1;
    trend[1][i] = east[i] / TREND;
    trend[2][i] = north[i] / TREND;
    residual[i] = observations.depth[i];
  }
  solveRowsBelow(factor, n);
  solveLower(factor, n, n, residual);
  const products = symmetricProducts(trend);
  const precision = 1 / (params.tilt * TREND) ** 2;
  products[4] += precision;
  products[8] += precision;
  const { inverse, determinant } = invertSymmetric3(products);
  if (!(determinant > 0)) return undefined;
  const right = trend.map((column) => dot(column, residual));
  const coefficients = new Float64Array(3);
  for (let i = 0; i < 3; i++) for (let j = 0; j < 3; j++) coefficients[i] += inverse[3 * i + j] * right[j];
  let logDeterminant = 0;
  for (let i = 0; i < n; i++) logDeterminant += Math.log(factor[i * n + i]);
  const fall = dot(residual, residual) - right.reduce((sum, r, i) => sum + r * coefficients[i], 0);
  const likelihood = -logDeterminant - 0.5 * Math.log(determinant) - 0.5 * fall;
  return { ...workspace, trendCovariance: inverse, coefficients, likelihood };
}

/** Returns the error covariances of all pairs of observations, m^2: a lower triangle in rows of `count`. */
export function errorCovariances(
  { count: n, leg, noise, bias, gradientEast, gradientNorth, wayEast, wayNorth }: Observations,
  out: Float64Array = new Float64Array(n * n),
): Float64Array {
  // Depth error from one standard deviation of latency, m.
  const late = gradientEast.map((east, i) => LATENCY * (east * wayEast[i] + gradientNorth[i] * wayNorth[i]));
  for (let i = 0; i < n; i++) {
    const row = i * n;
    const shared = bias[leg[i]];
    const east = OFFSET * OFFSET * gradientEast[i];
    const north = OFFSET * OFFSET * gradientNorth[i];
    for (let j = 0; j <= i; j++) {
      const own = leg[i] === leg[j] ? shared + east * gradientEast[j] + north * gradientNorth[j] : 0;
      out[row + j] = late[i] * late[j] + own;
    }
    out[row + i] += noise[i];
  }
  return out;
}

/**
 * Fills the lower triangle of the covariance of the observations: bottom plus errors. The loop contains
 * `correlationAt` instead of calling it, because no other loop takes as much time.
 *
 * @param out May be `errors` itself.
 */
function fillCovariance(
  { count: n, noise }: Observations,
  { along, across, shape }: ScaledPlaces,
  { kernel: { value: table }, sill, nugget }: CovarianceParams,
  errors: Float64Array,
  out: Float64Array,
): void {
  for (let i = 0; i < n; i++) {
    const row = i * n;
    const a = along[i];
    const b = across[i];
    const c = shape[i];
    for (let j = 0; j <= i; j++) {
      const u = a - along[j];
      const v = b - across[j];
      const w = c - shape[j];
      const t = u * u + v * v + w * w;
      let k = 0;
      if (t < LAST_SQUARE) {
        const s = t | 0;
        k = table[s] + (t - s) * (table[s + 1] - table[s]);
      }
      out[row + j] = errors[row + j] + sill * k;
    }
    out[row + i] += (nugget - 1) * noise[i];
  }
}

function symmetricProducts(columns: readonly Float64Array[]): Float64Array {
  const out = new Float64Array(9);
  for (let i = 0; i < 3; i++)
    for (let j = 0; j <= i; j++) out[3 * i + j] = out[3 * j + i] = dot(columns[i], columns[j]);
  return out;
}

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
