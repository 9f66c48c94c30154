import { STEPS_PER_RANGE } from './kernel.ts';
import type { LightDesign } from './light-design.ts';
import { type LightVariation, SMOOTH } from './light-memory.ts';
import { LAST, TREND_ROWS, widthOf } from './light-plain.ts';

/** Even in all directions. */
export const isotropic = (range: number, sill: number): LightVariation => ({
  range,
  sill,
  ratio: 1,
  cos: 1,
  sin: 0,
  noise: 1,
});

/** A Gaussian process with a linear trend over the blocks of a design; one way of varying after another in the same memory. */
export class LightProcess {
  readonly design: LightDesign;
  /** Blocks of the last fit, those nearest the origin; columns and rows of its factor. */
  n = 0;
  width = 0;
  height = 0;
  private last?: LightVariation;

  constructor(design: LightDesign) {
    this.design = design;
  }

  /**
   * Restricted log likelihood, less a constant, of one way of varying; -Infinity when the covariance is singular.
   *
   * @param n Blocks to fit, an even number. @param below See `fitPlainly`.
   */
  fit(variation: LightVariation, n: number, below = TREND_ROWS): number {
    const { last, design } = this;
    const isAlike =
      this.n === n &&
      last?.range === variation.range &&
      last.ratio === variation.ratio &&
      last.cos === variation.cos &&
      last.sin === variation.sin;
    this.n = n;
    this.width = widthOf(n);
    this.height = this.width + below;
    this.last = variation;
    return design.room.fit(n, below, variation, isAlike);
  }

  /** Inverse covariance times the residuals about the trend, for the last way of varying. */
  alpha(): Float64Array {
    const { n, width, height } = this;
    const { factor, coefficients: c } = this.design.room;
    const out = new Float64Array(n);
    for (let i = n - 1; i >= 0; i--) {
      const column = i * height;
      const t = column + width;
      let x = factor[t + 3] - c[0] * factor[t] - c[1] * factor[t + 1] - c[2] * factor[t + 2];
      for (let k = i + 1; k < n; k++) x -= factor[column + k] * out[k];
      out[i] = x / factor[column + i];
    }
    return out;
  }

  /**
   * Direction along which the bottom's gradient, less the trend's, changes least from block to block: that of isobaths.
   *
   * @param even A way of varying that is even in all directions. @returns rad from east to north.
   */
  direction(even: LightVariation, n: number): number | undefined {
    const isLast = this.last === even && this.n === n;
    if (!isLast && this.fit(even, n) === Number.NEGATIVE_INFINITY) return undefined;
    const { east, north } = this.design.room;
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
