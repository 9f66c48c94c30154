/** Correlation by distance in ranges, from a table: no exponential per pair. */
export interface Kernel {
  /** Correlation at `i / STEPS_PER_RANGE` ranges. */
  readonly value: Float64Array;
  /** -(dk/dr) / r at the same distances. */
  readonly fall: Float64Array;
  /** -k''(0): variance of the slope for unit sill and range. */
  readonly curvature: number;
}

/** Table steps per range; linear interpolation is then right to 5e-5. */
export const STEPS_PER_RANGE = 64;
/** Ranges beyond which correlation is taken as zero (it is under 1e-5 there). */
export const LAST_RANGE = 8;

const SIZE = STEPS_PER_RANGE * LAST_RANGE + 2;

/**
 * Matern correlation of smoothness 5/2: a surface with continuous slope, rough in its curvature.
 *
 * k(r) = (1 + s + s^2 / 3) exp(-s), s = sqrt(5) r. Source: Rasmussen & Williams 2006, eq. 4.17.
 */
export function matern52(): Kernel {
  const value = new Float64Array(SIZE);
  const fall = new Float64Array(SIZE);
  for (let i = 0; i < SIZE; i++) {
    const s = (Math.sqrt(5) * i) / STEPS_PER_RANGE;
    value[i] = (1 + s + (s * s) / 3) * Math.exp(-s);
    fall[i] = (5 / 3) * (1 + s) * Math.exp(-s);
  }
  return { value, fall, curvature: 5 / 3 };
}

/**
 * Matern correlation of smoothness 3/2: a surface with breaks of slope.
 *
 * k(r) = (1 + s) exp(-s), s = sqrt(3) r. Source: Rasmussen & Williams 2006, eq. 4.17.
 */
export function matern32(): Kernel {
  const value = new Float64Array(SIZE);
  const fall = new Float64Array(SIZE);
  for (let i = 0; i < SIZE; i++) {
    const s = (Math.sqrt(3) * i) / STEPS_PER_RANGE;
    value[i] = (1 + s) * Math.exp(-s);
    fall[i] = 3 * Math.exp(-s);
  }
  return { value, fall, curvature: 3 };
}

/** Table value at a distance in ranges, linear between steps, 0 far out. */
export function lookUp(table: Float64Array, r: number): number {
  const t = r * STEPS_PER_RANGE;
  if (t >= SIZE - 2) return 0;
  const i = t | 0;
  return table[i] + (t - i) * (table[i + 1] - table[i]);
}
