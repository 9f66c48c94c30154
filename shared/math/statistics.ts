import { quickselect } from 'd3-array';

/** Maximum length of a list that is sorted by insertion, without a function call for each comparison. */
const SHORT = 24;

/** Returns the median; NaN without values. Sorts lists of up to 24 values in place. */
export function medianOf(values: number[] | Float64Array): number {
  const n = values.length;
  if (n === 0) return Number.NaN;
  const half = n >> 1;
  if (n <= SHORT) {
    const sorted = insertionSort(values);
    return n % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
  }
  const halved = Float64Array.from(values);
  quickselect(halved, half);
  if (n % 2 === 1) return halved[half];
  let below = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < half; i++) below = Math.max(below, halved[i]);
  return (below + halved[half]) / 2;
}

function insertionSort(values: number[] | Float64Array): number[] | Float64Array {
  for (let i = 1; i < values.length; i++) {
    const value = values[i];
    let j = i - 1;
    while (j >= 0 && values[j] > value) {
      values[j + 1] = values[j];
      j--;
    }
    values[j + 1] = value;
  }
  return values;
}

/**
 * Returns the probability that a standard normal value is below `x`, with an error below 1.5e-7.
 *
 * Source: Abramowitz & Stegun 1964, 7.1.26.
 */
export function normalBelow(x: number): number {
  const z = Math.abs(x) / Math.SQRT2;
  const t = 1 / (1 + 0.3275911 * z);
  const series =
    t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
  const erf = 1 - series * Math.exp(-z * z);
  return x < 0 ? (1 - erf) / 2 : (1 + erf) / 2;
}

/**
 * Returns a seeded source of numbers in [0, 1): the same seed gives the same numbers on every machine.
 *
 * Source: the public-domain generator "mulberry32" (32-bit state, period 2^32).
 */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** Draws a whole number in [0, count). */
export const randomIndex = (random: () => number, count: number): number => Math.floor(random() * count);
