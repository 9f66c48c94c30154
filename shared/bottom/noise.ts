import { medianOf } from '../math/index.ts';
import type { LocalSoundings } from './local-rows.ts';

/** Minimum difference in depth between a spike and the rows around it, m. */
const SPIKE_LEAST = 0.6;
const LONGEST_SPIKE = 3;
/** Minimum steepness of a jump, m/m. Assumed: no bottom is that steep on both sides of a few rows. */
const CLIFF = 1;

/**
 * Finds soundings that differ from both neighbors in their run far more than the rows around them differ from
 * each other.
 *
 * The tip of a steep cone stays, because the rows on its sides differ from each other just as much. Up to
 * `LONGEST_SPIKE` soundings that jump together are spikes too, where both jumps are steeper than `CLIFF`.
 *
 * @returns For every row, 1 for a spike or a depth that is not positive, 0 otherwise.
 */
export function findSpikes(
  soundings: LocalSoundings,
  runs: readonly (readonly [number, number])[],
): Uint8Array {
  const { depth, count } = soundings;
  const spike = new Uint8Array(count);
  const at = (i: number, start: number, end: number): number => depth[Math.max(start, Math.min(end - 1, i))];
  for (const [start, end] of runs) {
    for (let i = start; i < end; i++) {
      const d = depth[i];
      if (!(d > 0)) {
        spike[i] = 1;
        continue;
      }
      // A shortcut for most soundings: `stand` is then at most `SPIKE_LEAST`.
      if (i > start && Math.abs(d - depth[i - 1]) <= SPIKE_LEAST) continue;
      const before = i > start ? at(i - 1, start, end) : at(i + 1, start, end);
      const after = i < end - 1 ? at(i + 1, start, end) : at(i - 1, start, end);
      const stand = Math.min(Math.abs(d - before), Math.abs(d - after));
      if (stand <= SPIKE_LEAST || (d - before) * (d - after) < 0) continue;
      const around = Math.max(
        Math.abs(before - at(i - 2, start, end)),
        Math.abs(after - at(i + 2, start, end)),
        Math.abs(before - after),
      );
      if (stand > 2.5 * around + 0.3) spike[i] = 1;
    }
    markSpikeRuns(depth, jumpsOf(soundings), start, end, spike);
  }
  return spike;
}

/** Change in depth from one row to another, m; 0 unless above `SPIKE_LEAST` and steeper than `CLIFF`. */
type Jump = (from: number, to: number) => number;

function jumpsOf({ east, north, depth }: LocalSoundings): Jump {
  return (from, to) => {
    const jump = depth[to] - depth[from];
    if (!(Math.abs(jump) > SPIKE_LEAST)) return 0;
    const distance = Math.hypot(east[to] - east[from], north[to] - north[from]);
    return Math.abs(jump) > CLIFF * distance ? jump : 0;
  };
}

function markSpikeRuns(
  depth: ArrayLike<number>,
  jump: Jump,
  start: number,
  end: number,
  spike: Uint8Array,
): void {
  let before = -1;
  for (let i = start; i < end; i++) {
    if (spike[i]) continue;
    const isCalm = before < 0 || Math.abs(depth[i] - depth[before]) <= SPIKE_LEAST;
    const off = isCalm ? 0 : jump(before, i);
    const last = off === 0 ? -1 : endOfSpike(jump, i, end, off, spike);
    if (last < 0) before = i;
    for (let k = i; k <= last; k++) spike[k] = 1;
    if (last > i) i = last;
  }
}

/**
 * Finds the last row of a spike that begins at `first`; -1 when depth does not jump back within
 * `LONGEST_SPIKE` rows.
 *
 * @param off Jump in depth from the last row before the spike to `first`, m.
 */
function endOfSpike(jump: Jump, first: number, end: number, off: number, spike: Uint8Array): number {
  let before = first;
  let rows = 1;
  for (let i = first + 1; i < end && rows <= LONGEST_SPIKE; i++) {
    if (spike[i]) continue;
    if (jump(before, i) * off < 0) return before;
    before = i;
    rows++;
  }
  return -1;
}

/** Usual standard deviation of one sounding of a consumer echo sounder, m. */
const USUAL_NOISE = 0.11;
const MIN_NOISE = 0.04;
/** Maximum overall standard deviation of one sounding, m; `Noise.near` may return up to twice this. */
const MAX_NOISE = 0.5;
/** Number of second differences at which their estimate and `USUAL_NOISE` have equal weight. */
const USUAL_COUNT = 30;
/** Number of rows on each side of a row from which the noise near the row is estimated. */
const REACH = 6;
/** Multiple of the overall noise above which local noise counts: a median of few values is uncertain. */
const ROUGH = 2;
/** Median absolute second difference of normal noise of standard deviation 1. */
const MEDIAN_OF_DIFFERENCE = 0.6745 * Math.sqrt(6);

export interface Noise {
  /** Standard deviation of one sounding, from all rows, m. */
  readonly usual: number;
  /** Returns the standard deviation near a row, m: above `usual` where nearby rows are much noisier. */
  near(row: number): number;
}

/**
 * Estimates the noise of one sounding from second differences in runs: sd(z1 - 2 z2 + z3) = sqrt(6) noise.
 *
 * Medians keep breaks of slope and leftover spikes from counting much. With few soundings, the estimate is
 * drawn toward `USUAL_NOISE`.
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

const clamp = (noise: number): number => Math.min(MAX_NOISE, Math.max(MIN_NOISE, noise));
