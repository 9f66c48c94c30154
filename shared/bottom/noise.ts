import { medianOf } from '../math/index.ts';
import type { LocalSoundings } from './local-rows.ts';

/** Usual, least and greatest standard deviation of one sounding of a consumer echo sounder, m. */
const USUAL_NOISE = 0.11;
const MIN_NOISE = 0.04;
const MAX_NOISE = 0.5;
/** Number of differences that weigh as much as the usual value. */
const USUAL_COUNT = 30;
/** Rows to each side whose differences give the noise at a place. */
const REACH = 6;
/** Local noise counts only above this multiple of the overall noise: the median of a few differences is uncertain. */
const ROUGH = 2;
/** Median of |x| of a normal x, times the standard deviation of a second difference of unit noise, sqrt(6). */
const MEDIAN_OF_DIFFERENCE = 0.6745 * Math.sqrt(6);

/** Noise of single soundings: overall, and near a row whose surroundings are much noisier. */
export interface Noise {
  /** Standard deviation, m. */
  readonly usual: number;
  /** Standard deviation near a row, m, never under the usual one. */
  near(row: number): number;
}

/**
 * Noise of one sounding from second differences along the runs: sd(z1 - 2 z2 + z3) = sqrt(6) noise.
 *
 * Medians keep a break of the bottom or a spike from counting much. Where soundings are few, the estimate is drawn toward
 * the usual value.
 */
export function estimateNoise(
  soundings: LocalSoundings,
  runs: readonly (readonly [number, number])[],
  spike: Uint8Array,
): Noise {
  const { depth, weight, count } = soundings;
  const size = new Float64Array(count).fill(Number.NaN);
  const all: number[] = [];
  for (const [start, end] of runs) {
    for (let i = start + 1; i < end - 1; i++) {
      if (spike[i - 1] || spike[i] || spike[i + 1]) continue;
      const scale = weight === undefined ? 1 : Math.sqrt(Math.min(weight[i], 4));
      size[i] = Math.abs(depth[i - 1] - 2 * depth[i] + depth[i + 1]) * scale;
      all.push(size[i]);
    }
  }
  if (all.length === 0) return { usual: USUAL_NOISE, near: () => USUAL_NOISE };
  const found = medianOf(all) / MEDIAN_OF_DIFFERENCE;
  const share = all.length / (all.length + USUAL_COUNT);
  const usual = clamp(Math.sqrt(share * found ** 2 + (1 - share) * USUAL_NOISE ** 2));
  const near = (row: number): number => {
    const around: number[] = [];
    for (let i = Math.max(0, row - REACH); i <= Math.min(count - 1, row + REACH); i++) {
      if (!Number.isNaN(size[i])) around.push(size[i]);
    }
    if (around.length < REACH) return usual;
    const local = medianOf(around) / MEDIAN_OF_DIFFERENCE;
    return local > ROUGH * usual ? Math.min(local, 2 * MAX_NOISE) : usual;
  };
  return { usual, near };
}

/** Mean of |x| of a normal x, times the standard deviation of a second difference of unit noise, sqrt(6). */
const MEAN_OF_DIFFERENCE = Math.sqrt(2 / Math.PI) * Math.sqrt(6);

/** Overall noise from a sum of second differences, m. A mean is robust enough here because many passes enter it. */
export const usualNoise = (sum: number, count: number): number =>
  count === 0 ? USUAL_NOISE : clamp(sum / count / MEAN_OF_DIFFERENCE);

/** Noise at a place from the sum of second differences there, m; the usual noise unless the place is much noisier. */
export function noiseOf(sum: number, count: number, usual: number): number {
  const local = count < REACH ? usual : sum / count / MEAN_OF_DIFFERENCE;
  return local > ROUGH * usual ? Math.min(local, 2 * MAX_NOISE) : usual;
}

const clamp = (noise: number): number => Math.min(MAX_NOISE, Math.max(MIN_NOISE, noise));
