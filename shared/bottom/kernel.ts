/** Units of `ScaledPlaces` per range. A squared distance in these units is an index into `Kernel.value`. */
export const PLACE_STEPS = 16;
/** Steps of `Kernel.fall` per range. */
const FALL_STEPS = 64;
export const FALL_PER_PLACE = FALL_STEPS / PLACE_STEPS;
/** Distance in ranges beyond which the correlation counts as zero: it is below 2e-5 there. */
const LAST_RANGE = 8;
/** Index into `Kernel.value` at `LAST_RANGE`. */
export const LAST_SQUARE = (LAST_RANGE * PLACE_STEPS) ** 2;
/** Index into `Kernel.fall` at `LAST_RANGE`. */
export const LAST_FALL = LAST_RANGE * FALL_STEPS;

/** Tables of a correlation. Computing an exponential for every pair of places would be slow. */
export interface Kernel {
  /**
   * Correlation k; the index is the squared distance in units of `ScaledPlaces`, which saves a square root
   * for every pair of places. Linear interpolation is accurate to 6e-5.
   */
  readonly value: Float64Array;
  /** -(dk/dr) / r; the index is the distance r in steps of `1 / FALL_STEPS` ranges. */
  readonly fall: Float64Array;
  /** -k''(0): variance of the slope for unit sill and range. */
  readonly curvature: number;
}

/**
 * Matern correlation of smoothness 3/2, for a bottom with breaks of slope: (1 + s) exp(-s), s = sqrt(3) r.
 *
 * Source: Rasmussen & Williams 2006, eq. 4.17, also for `MATERN_52`.
 */
export const MATERN_32: Kernel = tabulate(
  3,
  (s) => (1 + s) * Math.exp(-s),
  (s) => 3 * Math.exp(-s),
);
/** Matern correlation of smoothness 5/2, for a smooth bottom: (1 + s + s^2 / 3) exp(-s), s = sqrt(5) r. */
export const MATERN_52: Kernel = tabulate(
  5,
  (s) => (1 + s + (s * s) / 3) * Math.exp(-s),
  (s) => (5 / 3) * (1 + s) * Math.exp(-s),
);

function tabulate(
  twiceSmoothness: number,
  value: (s: number) => number,
  fall: (s: number) => number,
): Kernel {
  const root = Math.sqrt(twiceSmoothness);
  return {
    value: Float64Array.from({ length: LAST_SQUARE + 2 }, (_, k) =>
      value((root * Math.sqrt(k)) / PLACE_STEPS),
    ),
    fall: Float64Array.from({ length: LAST_FALL + 2 }, (_, k) => fall((root * k) / FALL_STEPS)),
    curvature: fall(0),
  };
}

/** Returns the correlation at a distance in ranges; 0 beyond `LAST_RANGE`. */
export const correlationAt = ({ value }: Kernel, ranges: number): number =>
  lookUp(value, (ranges * PLACE_STEPS) ** 2);

/** Returns -(dk/dr) / r at a distance in ranges; 0 beyond `LAST_RANGE`. */
export const fallAt = ({ fall }: Kernel, ranges: number): number => lookUp(fall, ranges * FALL_STEPS);

function lookUp(table: Float64Array, step: number): number {
  if (step >= table.length - 2) return 0;
  const k = step | 0;
  return table[k] + (step - k) * (table[k + 1] - table[k]);
}
