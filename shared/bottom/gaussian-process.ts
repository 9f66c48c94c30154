import { ABREAST, cholesky, dot, solveLower, solveLowerTransposed, solveRowsBelow } from '../math/index.ts';
import {
  type CovarianceParams,
  emptyPlaces,
  type ScaledPlaces,
  type Solved,
  scaledDistance,
  scalePlace,
  solve,
  TREND,
} from './covariance.ts';
import { correlationAt, FALL_PER_PLACE, fallAt, LAST_FALL, LAST_SQUARE, PLACE_STEPS } from './kernel.ts';
import type { Observations } from './observations.ts';

/** Shape coordinate of a place (`surface.ts`), and the coordinate's change per meter east and north. */
export type ShapeAt = readonly [value: number, east: number, north: number];

const LEVEL: ShapeAt = [0, 0, 0];

export interface Posterior {
  /** Depth, m, and rate of deepening east and north, m/m. */
  readonly mean: readonly [depth: number, east: number, north: number];
  /** Covariance of the three parts of `mean`, 3 x 3 row-major. */
  readonly covariance: Float64Array;
}

/** Error above which an observation is an outlier, in standard deviations of its noise (with the nugget). */
const OUTLIER = 4;
/** Depth bias above which a leg is an outlier, in standard deviations of the bias. */
export const LEG_OUTLIER = 3;
const MIN_LEG_OUTLIER = 0.25;

/** Returns the variance of an outlying leg's depth bias, m^2. @param error Expected bias, m. */
export const outlyingBias = (error: number): number => Math.max(MIN_LEG_OUTLIER, 4 * error * error);

/**
 * The bottom as a Gaussian process with a linear trend, conditioned on observations.
 *
 * Source: Rasmussen & Williams 2006, Gaussian Processes for Machine Learning, 2.2, 2.7 and 9.4 (derivatives).
 */
export class GaussianProcess {
  readonly observations: Observations;
  readonly params: CovarianceParams;
  /** As in `Solved`; `deviationsAt` overwrites the scratch rows. */
  private readonly factor: Float64Array;
  private readonly trend: Solved['trend'];
  private readonly trendCovariance: Float64Array;
  /** Level, m, and tilt east and north, m per `TREND` m. */
  private readonly coefficients: Float64Array;
  /** Inverse of the covariance of the observations, times (depths - trend). */
  private readonly alpha: Float64Array;
  private readonly places: ScaledPlaces;
  private readonly place = emptyPlaces(1);

  private constructor(observations: Observations, params: CovarianceParams, solved: Solved) {
    const { residual: alpha, trend } = solved;
    this.observations = observations;
    this.params = params;
    this.factor = solved.factor;
    this.places = solved.places;
    this.trend = trend;
    this.trendCovariance = solved.trendCovariance;
    this.coefficients = solved.coefficients;
    const [c, e, m] = solved.coefficients;
    for (let i = 0; i < alpha.length; i++) alpha[i] -= trend[0][i] * c + trend[1][i] * e + trend[2][i] * m;
    solveLowerTransposed(this.factor, alpha.length, alpha.length, alpha);
    this.alpha = alpha;
  }

  /** Conditions the process on observations; undefined when their covariance is singular. */
  static fit(observations: Observations, params: CovarianceParams): GaussianProcess | undefined {
    const solved = solve(observations, params);
    return solved && new GaussianProcess(observations, params, solved);
  }

  /** Returns the depth of the trend at a place, less the trend's level, m. */
  tiltAt(east: number, north: number): number {
    return (this.coefficients[1] * east + this.coefficients[2] * north) / TREND;
  }

  /** Returns the posterior mean of the depth at a place, m. The loop inlines `correlationAt`, for speed. */
  meanAt(east: number, north: number, shape = 0): number {
    const { alpha, places, params } = this;
    const { along, across, shape: shapes } = places;
    const { a, b, c } = this.scaled(east, north, shape);
    const table = params.kernel.value;
    let sum = 0;
    for (let i = 0; i < alpha.length; i++) {
      const u = a - along[i];
      const v = b - across[i];
      const w = c - shapes[i];
      const t = u * u + v * v + w * w;
      if (t >= LAST_SQUARE) continue;
      const s = t | 0;
      sum += alpha[i] * (table[s] + (t - s) * (table[s + 1] - table[s]));
    }
    const known = this.observations.zero + this.coefficients[0] + this.tiltAt(east, north);
    return known + params.sill * sum;
  }

  /** Scales a place like the observations; ignores `shape` if the observations have none. */
  private scaled(east: number, north: number, shape: number): { a: number; b: number; c: number } {
    const { params, observations, place } = this;
    scalePlace(params, east, north, observations.shape === undefined ? 0 : shape, place, 0);
    return { a: place.along[0], b: place.across[0], c: place.shape[0] };
  }

  posteriorAt(east: number, north: number, shape: ShapeAt = LEVEL): Posterior {
    const n = this.alpha.length;
    const rows = this.covarianceWith(east, north, shape);
    const trends = [
      [1, east / TREND, north / TREND],
      [0, 1 / TREND, 0],
      [0, 0, 1 / TREND],
    ];
    const mean = trends.map(
      (trend, k) => trend.reduce((sum, t, s) => sum + t * this.coefficients[s], 0) + dot(rows[k], this.alpha),
    );
    for (const row of rows) solveLower(this.factor, n, n, row);
    const unknown = trends.map((want, k) => want.map((value, t) => value - dot(this.trend[t], rows[k])));
    const covariance = this.priorCovariance(shape);
    for (let i = 0; i < 3; i++)
      for (let j = 0; j < 3; j++)
        covariance[3 * i + j] += this.trendProduct(unknown[i], unknown[j]) - dot(rows[i], rows[j]);
    return { mean: [this.observations.zero + mean[0], mean[1], mean[2]], covariance };
  }

  /**
   * Returns the posterior standard deviation of the depth at each place, m.
   *
   * @param shape Shape coordinate of each place; ignored if the observations have no shape coordinate.
   */
  deviationsAt(east: ArrayLike<number>, north: ArrayLike<number>, shape: ArrayLike<number>): Float64Array {
    const { factor, trend } = this;
    const { sill } = this.params;
    const n = this.alpha.length;
    const out = new Float64Array(east.length);
    for (let first = 0; first < out.length; first += ABREAST) {
      const last = Math.min(first + ABREAST, out.length);
      const scratch = n + ABREAST;
      for (let k = first; k < last; k++)
        this.covariancesAt(east[k], north[k], shape[k], (scratch + k - first) * n);
      solveRowsBelow(factor, n, scratch);
      for (let k = first; k < last; k++) {
        const row = (scratch + k - first) * n;
        let known = 0;
        let level = 0;
        let tiltEast = 0;
        let tiltNorth = 0;
        for (let i = 0; i < n; i++) {
          const c = factor[row + i];
          known += c * c;
          level += trend[0][i] * c;
          tiltEast += trend[1][i] * c;
          tiltNorth += trend[2][i] * c;
        }
        const unknown = [1 - level, east[k] / TREND - tiltEast, north[k] / TREND - tiltNorth];
        out[k] = Math.sqrt(Math.max(sill - known + this.trendProduct(unknown, unknown), 0));
      }
    }
    return out;
  }

  /** Writes the covariances of a place's depth with the observations to `factor`, from index `row` on. */
  private covariancesAt(east: number, north: number, shape: number, row: number): void {
    const { factor: out, places, params } = this;
    const { a, b, c } = this.scaled(east, north, shape);
    const { along, across, shape: shapes } = places;
    const { sill } = params;
    const table = params.kernel.value;
    for (let i = 0; i < along.length; i++) {
      const u = a - along[i];
      const v = b - across[i];
      const w = c - shapes[i];
      const t = u * u + v * v + w * w;
      const s = t | 0;
      out[row + i] = t < LAST_SQUARE ? sill * (table[s] + (t - s) * (table[s + 1] - table[s])) : 0;
    }
  }

  /** Returns the mean gradient at every observation, m/m; valid only without a shape coordinate. */
  gradientsAtObservations(): { east: Float64Array; north: Float64Array } {
    const { alpha, coefficients } = this;
    const { along, across } = this.places;
    const { kernel, range, sill, ratio, cos, sin } = this.params;
    const table = kernel.fall;
    const n = alpha.length;
    const outEast = new Float64Array(n);
    const outNorth = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      let sumAlong = 0;
      let sumAcross = 0;
      for (let j = 0; j < n; j++) {
        const u = along[i] - along[j];
        const v = across[i] - across[j];
        const t = FALL_PER_PLACE * Math.sqrt(u * u + v * v);
        if (t >= LAST_FALL) continue;
        const s = t | 0;
        const fall = alpha[j] * (table[s] + (t - s) * (table[s + 1] - table[s]));
        sumAlong += fall * u;
        sumAcross += fall * v;
      }
      // Scaled places are already divided once by the range (and `along` by the ratio).
      const a = (-sill * sumAlong) / (PLACE_STEPS * range * ratio);
      const b = (-sill * sumAcross) / (PLACE_STEPS * range);
      outEast[i] = coefficients[1] / TREND + cos * a - sin * b;
      outNorth[i] = coefficients[2] / TREND + sin * a + cos * b;
    }
    return { east: outEast, north: outNorth };
  }

  /**
   * Returns the observations, with more noise for outliers (leftover spikes, fish, weeds) and more bias for
   * outlying legs (another water level, a wrong draft).
   *
   * The expected error of an observation is its noise variance (with the nugget) times its entry of `alpha`.
   * The expected bias of a leg is its bias variance times the sum of `alpha` over the leg. The new variance
   * of an outlier follows from the expected error and is so large that the observation or leg hardly counts.
   *
   * @returns The process's own observations object when there is no outlier.
   */
  withInflatedNoise(): Observations {
    const { observations, alpha, params } = this;
    const noise = observations.noise.slice();
    const bias = observations.bias.slice();
    let isChanged = false;
    for (let i = 0; i < alpha.length; i++) {
      const variance = params.nugget * observations.noise[i];
      const error = variance * alpha[i];
      if (error * error <= OUTLIER ** 2 * variance) continue;
      noise[i] = Math.max(4 * error * error, 100 * observations.noise[i]);
      isChanged = true;
    }
    for (const [leg, error] of this.legErrors().entries()) {
      if (error * error <= LEG_OUTLIER ** 2 * bias[leg]) continue;
      bias[leg] = outlyingBias(error);
      isChanged = true;
    }
    return isChanged ? { ...observations, noise, bias } : observations;
  }

  /** Returns the expected depth bias of every leg, m. */
  legErrors(): Float64Array {
    const { bias, leg } = this.observations;
    const sums = new Float64Array(bias.length);
    for (let i = 0; i < leg.length; i++) sums[leg[i]] += this.alpha[i];
    return sums.map((sum, k) => bias[k] * sum);
  }

  /**
   * Predicts some observations from all others, without a new fit (leave-one-pass-out).
   *
   * With P the precision matrix of all observations after the trend is projected out, the residuals of a
   * group g are P_gg^-1 (P y)_g and their covariance is P_gg^-1. Source: Dubrule 1983, Math. Geol. 15(6),
   * 687-699, extended from one observation to a group.
   *
   * @param rows Indices of the observations left out.
   * @returns Observed minus predicted depth, m, and the variance of this difference, m^2, including
   * the observation's own error. Undefined where the other observations do not determine a prediction.
   */
  leaveOut(rows: readonly number[]): { residual: Float64Array; variance: Float64Array } | undefined {
    const n = this.alpha.length;
    const m = rows.length;
    const columns = rows.map((row) => {
      const column = new Float64Array(n);
      column[row] = 1;
      solveLower(this.factor, n, n, column);
      return column;
    });
    const trends = columns.map((column) => this.trend.map((t) => dot(t, column)));
    const precision = new Float64Array(m * m);
    for (let i = 0; i < m; i++)
      for (let j = 0; j <= i; j++)
        precision[i * m + j] = dot(columns[i], columns[j]) - this.trendProduct(trends[i], trends[j]);
    if (!cholesky(precision, m, { stride: m })) return undefined;
    const residual = Float64Array.from(rows, (row) => this.alpha[row]);
    solveLower(precision, m, m, residual);
    solveLowerTransposed(precision, m, m, residual);
    const variance = Float64Array.from(rows, (_, i) => {
      const unit = new Float64Array(m);
      unit[i] = 1;
      solveLower(precision, m, m, unit);
      return dot(unit, unit);
    });
    return { residual, variance };
  }

  private trendProduct(a: readonly number[], b: readonly number[]): number {
    let sum = 0;
    for (let s = 0; s < 3; s++)
      for (let t = 0; t < 3; t++) sum += a[s] * this.trendCovariance[3 * s + t] * b[t];
    return sum;
  }

  /** Returns, for each observation, its prior covariances with depth, east and north gradient at a place. */
  private covarianceWith(
    east: number,
    north: number,
    shape: ShapeAt,
  ): [Float64Array, Float64Array, Float64Array] {
    const { observations, params } = this;
    const { range, sill, ratio, cos, sin } = params;
    const n = this.alpha.length;
    const rows: [Float64Array, Float64Array, Float64Array] = [
      new Float64Array(n),
      new Float64Array(n),
      new Float64Array(n),
    ];
    for (let i = 0; i < n; i++) {
      const de = east - observations.east[i];
      const dn = north - observations.north[i];
      const z = observations.shape === undefined ? 0 : shape[0] - observations.shape[i];
      const distance = scaledDistance(params, de, dn, z);
      const fall = -sill * fallAt(params.kernel, distance);
      const u = (cos * de + sin * dn) / (range * ratio) ** 2;
      const v = (cos * dn - sin * de) / range ** 2;
      rows[0][i] = sill * correlationAt(params.kernel, distance);
      rows[1][i] = fall * (cos * u - sin * v + z * shape[1]);
      rows[2][i] = fall * (sin * u + cos * v + z * shape[2]);
    }
    return rows;
  }

  /** Returns the prior covariance of depth and gradient, 3 x 3 row-major, without the trend. */
  private priorCovariance(shape: ShapeAt): Float64Array {
    const { kernel, range, sill, ratio, cos, sin } = this.params;
    const c = sill * kernel.curvature;
    const along = c / (range * ratio) ** 2;
    const across = c / range ** 2;
    const ee = along * cos * cos + across * sin * sin + c * shape[1] * shape[1];
    const nn = along * sin * sin + across * cos * cos + c * shape[2] * shape[2];
    const en = (along - across) * cos * sin + c * shape[1] * shape[2];
    return Float64Array.of(sill, 0, 0, 0, ee, en, 0, en, nn);
  }
}
