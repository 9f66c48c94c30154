import { LAST_RANGE, matern52, STEPS_PER_RANGE } from './kernel.ts';
import type { LightDesign } from './light-design.ts';

/** How the bottom varies: Matern 5/2 of `sill` m^2 over `range` m, `ratio` times as far along (cos, sin). */
export interface LightVariation {
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

/** Even in all directions. */
export const isotropic = (range: number, sill: number): LightVariation => ({
  range,
  sill,
  ratio: 1,
  cos: 1,
  sin: 0,
  noise: 1,
});

export const SMOOTH = matern52();
/** m; unit of the trend's east and north. */
export const TREND = 50;
/** Inverse variance of the trend's tilt: 0.5 m/m in units of `TREND`. */
const TILT_PRECISION = 1 / (0.5 * TREND) ** 2;
/** Rows below the covariance: the trend's three columns and the depths. */
const MORE = 4;
/** Pivots below this are rounding noise of depths in meters. */
const TINY = 1e-12;
/** Table steps beyond which correlation is taken as zero. */
const LAST = LAST_RANGE * STEPS_PER_RANGE;

/**
 * A Gaussian process with a linear trend over the first `n` blocks of a design, `n` even; one way of varying after
 * another in the same memory.
 */
export class LightProcess {
  readonly design: LightDesign;
  readonly n: number;
  /** Cholesky factor of the covariance, and below it the trend's columns and the depths solved with it; `n` a row. */
  readonly factor: Float64Array;
  /** Covariance of the trend's coefficients, 3 x 3 row-major, and the coefficients. */
  readonly trendCovariance = new Float64Array(9);
  readonly coefficients = new Float64Array(3);
  /** Correlations of the last way of varying: lower triangle without its diagonal. */
  private readonly correlation: Float64Array;
  private last?: LightVariation;
  /** Squared residuals over their covariance: about `n` - 3 where the way of varying is right. */
  fall = 0;

  constructor(design: LightDesign, n: number) {
    this.design = design;
    this.n = n;
    this.factor = new Float64Array((n + MORE) * n);
    this.correlation = new Float64Array((n * (n - 1)) / 2);
  }

  /**
   * Restricted log likelihood, less a constant, of one way of varying; -Infinity when the covariance is singular.
   *
   * The trend's level has a flat prior, its tilt one so wide that it only matters on a single line (Rasmussen &
   * Williams 2006, eq. 2.45).
   */
  fit(variation: LightVariation): number {
    const { n, factor, last } = this;
    const isAlike =
      last?.range === variation.range &&
      last.ratio === variation.ratio &&
      last.cos === variation.cos &&
      last.sin === variation.sin;
    if (!isAlike) fillCorrelation(this.design, n, variation, this.correlation);
    fillCovariance(this.design, n, variation, this.correlation, factor);
    this.last = variation;
    fillTrend(this.design, n, factor);
    if (!factorRows(factor, n)) return Number.NEGATIVE_INFINITY;
    const determinant = this.fitTrend();
    if (!(determinant > 0)) return Number.NEGATIVE_INFINITY;
    let logDeterminant = 0;
    for (let i = 0; i < n; i++) logDeterminant += Math.log(factor[i * n + i]);
    return -logDeterminant - 0.5 * Math.log(determinant) - 0.5 * this.fall;
  }

  /** Generalized least squares of the trend. @returns determinant of its information. */
  private fitTrend(): number {
    const { n, factor, trendCovariance: inverse, coefficients } = this;
    const row = (r: number): Float64Array => factor.subarray((n + r) * n, (n + r + 1) * n);
    const [one, east, north, depth] = [row(0), row(1), row(2), row(3)];
    const a = dot(one, one);
    const b = dot(one, east);
    const c = dot(one, north);
    const d = dot(east, east) + TILT_PRECISION;
    const e = dot(east, north);
    const f = dot(north, north) + TILT_PRECISION;
    const right = [dot(one, depth), dot(east, depth), dot(north, depth)];
    const aa = d * f - e * e;
    const ab = c * e - b * f;
    const ac = b * e - c * d;
    const bc = b * c - a * e;
    const determinant = a * aa + b * ab + c * ac;
    inverse.set([aa, ab, ac, ab, a * f - c * c, bc, ac, bc, a * d - b * b]);
    this.fall = dot(depth, depth);
    for (let i = 0; i < 9; i++) inverse[i] /= determinant;
    for (let i = 0; i < 3; i++) {
      coefficients[i] =
        inverse[3 * i] * right[0] + inverse[3 * i + 1] * right[1] + inverse[3 * i + 2] * right[2];
      this.fall -= coefficients[i] * right[i];
    }
    return determinant;
  }

  /** Inverse covariance times the residuals about the trend, for the last way of varying. */
  alpha(): Float64Array {
    const { n, factor, coefficients: c } = this;
    const t = n * n;
    const out = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      const trend = c[0] * factor[t + i] + c[1] * factor[t + n + i] + c[2] * factor[t + 2 * n + i];
      out[i] = factor[t + 3 * n + i] - trend;
    }
    for (let i = n - 1; i >= 0; i--) {
      const row = i * n;
      const x = out[i] / factor[row + i];
      out[i] = x;
      for (let k = 0; k < i; k++) out[k] -= factor[row + k] * x;
    }
    return out;
  }

  /**
   * Direction along which the bottom's gradient, less the trend's, changes least from block to block: that of isobaths.
   *
   * @param even A way of varying that is even in all directions. @returns rad from east to north.
   */
  direction(even: LightVariation): number | undefined {
    if (this.last !== even && this.fit(even) === Number.NEGATIVE_INFINITY) return undefined;
    const { n, design } = this;
    const { east, north } = design;
    const alpha = this.alpha();
    const step = STEPS_PER_RANGE / even.range;
    const table = SMOOTH.fall;
    let [e, m, ee, en, nn] = [0, 0, 0, 0, 0];
    for (let i = 0; i < n; i++) {
      let gradientEast = 0;
      let gradientNorth = 0;
      for (let j = 0; j < n; j++) {
        const de = east[i] - east[j];
        const dn = north[i] - north[j];
        const t = Math.sqrt(de * de + dn * dn) * step;
        if (t >= LAST) continue;
        const s = t | 0;
        const fall = alpha[j] * (table[s] + (t - s) * (table[s + 1] - table[s]));
        gradientEast += fall * de;
        gradientNorth += fall * dn;
      }
      e += gradientEast / n;
      m += gradientNorth / n;
      ee += gradientEast * gradientEast;
      en += gradientEast * gradientNorth;
      nn += gradientNorth * gradientNorth;
    }
    return Math.atan2(2 * (en - n * e * m), ee - n * e * e - (nn - n * m * m)) / 2 + Math.PI / 2;
  }
}

/** Correlations of the first `n` blocks. One loop: it is a hot one. */
function fillCorrelation(
  { east, north }: LightDesign,
  n: number,
  { range, ratio, cos, sin }: LightVariation,
  out: Float64Array,
): void {
  const table = SMOOTH.value;
  const step = STEPS_PER_RANGE / range;
  const [alongEast, alongNorth] = [(cos * step) / ratio, (sin * step) / ratio];
  const [acrossEast, acrossNorth] = [-sin * step, cos * step];
  let next = 0;
  for (let i = 1; i < n; i++) {
    const e = east[i];
    const m = north[i];
    for (let j = 0; j < i; j++) {
      const de = e - east[j];
      const dn = m - north[j];
      const u = alongEast * de + alongNorth * dn;
      const v = acrossEast * de + acrossNorth * dn;
      const t = Math.sqrt(u * u + v * v);
      if (t < LAST) {
        const s = t | 0;
        const k = table[s];
        out[next++] = k + (t - s) * (table[s + 1] - k);
      } else out[next++] = 0;
    }
  }
}

/** Lower triangle of the covariance of the first `n` blocks: bottom plus errors. */
function fillCovariance(
  { errors, noise }: LightDesign,
  n: number,
  variation: LightVariation,
  correlation: Float64Array,
  out: Float64Array,
): void {
  const { sill } = variation;
  const more = variation.noise - 1;
  let next = 0;
  for (let i = 0; i < n; i++) {
    const row = i * n;
    const error = next + i;
    for (let j = 0; j < i; j++) out[row + j] = errors[error + j] + sill * correlation[next + j];
    out[row + i] = errors[error + i] + sill + more * noise[i];
    next += i;
  }
}

function fillTrend({ east, north, depth }: LightDesign, n: number, out: Float64Array): void {
  const t = n * n;
  for (let i = 0; i < n; i++) {
    out[t + i] = 1;
    out[t + n + i] = east[i] / TREND;
    out[t + 2 * n + i] = north[i] / TREND;
    out[t + 3 * n + i] = depth[i];
  }
}

/**
 * Cholesky factor of the first `n` rows in place, the rows below solved with it.
 *
 * Two rows and two columns at a time: four products for four loads. @returns false when not positive definite.
 */
function factorRows(a: Float64Array, n: number): boolean {
  for (let i = 0; i < n + MORE; i += 2) {
    const p = i * n;
    const q = p + n;
    const to = Math.min(i, n);
    for (let j = 0; j < to; j += 2) {
      const r = j * n;
      const s = r + n;
      let pr = a[p + j];
      let ps = a[p + j + 1];
      let qr = a[q + j];
      let qs = a[q + j + 1];
      for (let k = 0; k < j; k++) {
        const ap = a[p + k];
        const aq = a[q + k];
        const ar = a[r + k];
        const as = a[s + k];
        pr -= ap * ar;
        ps -= ap * as;
        qr -= aq * ar;
        qs -= aq * as;
      }
      const d = 1 / a[r + j];
      const e = 1 / a[s + j + 1];
      const low = a[s + j];
      pr *= d;
      qr *= d;
      a[p + j] = pr;
      a[q + j] = qr;
      a[p + j + 1] = (ps - pr * low) * e;
      a[q + j + 1] = (qs - qr * low) * e;
    }
    if (i < n && !factorPair(a, n, i)) return false;
  }
  return true;
}

/** The two by two on the diagonal at row `i`, once all before it is done. */
function factorPair(a: Float64Array, n: number, i: number): boolean {
  const p = i * n;
  const q = p + n;
  let pp = a[p + i];
  let qp = a[q + i];
  let qq = a[q + i + 1];
  for (let k = 0; k < i; k++) {
    const ap = a[p + k];
    const aq = a[q + k];
    pp -= ap * ap;
    qp -= aq * ap;
    qq -= aq * aq;
  }
  if (!(pp > TINY)) return false;
  const d = Math.sqrt(pp);
  qp /= d;
  qq -= qp * qp;
  if (!(qq > TINY)) return false;
  a[p + i] = d;
  a[q + i] = qp;
  a[q + i + 1] = Math.sqrt(qq);
  return true;
}

export function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}
