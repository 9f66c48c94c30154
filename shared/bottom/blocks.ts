import { medianOf } from './median.ts';

/** Soundings round a place in local meters; rows of one pass stand together in the order they were taken. */
export interface LocalSoundings {
  readonly count: number;
  /** m. */
  readonly east: ArrayLike<number>;
  readonly north: ArrayLike<number>;
  /** m, positive down. */
  readonly depth: ArrayLike<number>;
  readonly pass: ArrayLike<number>;
  /** Soundings behind the row; absent: one each. */
  readonly weight?: ArrayLike<number>;
  /** s; absent or NaN: unknown. */
  readonly time?: ArrayLike<number>;
}

/** Means of soundings next to each other on one pass: what the surface is fitted to. */
export interface Blocks {
  readonly count: number;
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly depth: Float64Array;
  readonly pass: Int32Array;
  /** Soundings in the block. */
  readonly weight: Float64Array;
  /** Unit vector of travel; zero for a boat at rest. */
  readonly wayEast: Float64Array;
  readonly wayNorth: Float64Array;
  /** Rate of deepening along the way, m/m, from the neighboring blocks of the pass. */
  readonly along: Float64Array;
  /** Estimated standard deviation of one sounding's noise, m. */
  readonly noise: number;
}

/** A jump in position, m, or in time, s, at which a run of soundings ends. */
const RUN_GAP = 20;
const RUN_GAP_SECONDS = 30;

/** Runs of soundings without a jump: `[start, end)` rows. */
export function findRuns(soundings: LocalSoundings): [start: number, end: number][] {
  const { count, east, north, pass, time } = soundings;
  const runs: [number, number][] = [];
  let start = 0;
  for (let i = 1; i <= count; i++) {
    const ends =
      i === count ||
      pass[i] !== pass[i - 1] ||
      Math.hypot(east[i] - east[i - 1], north[i] - north[i - 1]) > RUN_GAP ||
      (time !== undefined && Math.abs(time[i] - time[i - 1]) > RUN_GAP_SECONDS);
    if (ends) {
      if (i > start) runs.push([start, i]);
      start = i;
    }
  }
  return runs;
}

/**
 * Means over `near` meters of track within `nearRadius` of the origin, over `far` meters beyond.
 *
 * Spikes (see `findSpikes`) are left out.
 */
export function makeBlocks(
  soundings: LocalSoundings,
  runs: readonly (readonly [number, number])[],
  near: number,
  far: number,
  nearRadius: number,
): Blocks {
  const { east, north, depth, pass, weight } = soundings;
  const spike = findSpikes(soundings, runs);
  const out = new BlockRows(soundings.count);
  for (const [start, end] of runs) {
    const first = out.count;
    let e = 0;
    let n = 0;
    let d = 0;
    let w = 0;
    let fromEast = 0;
    let fromNorth = 0;
    let length = 0;
    for (let i = start; i < end; i++) {
      if (spike[i]) continue;
      if (w > 0 && Math.hypot(east[i] - fromEast, north[i] - fromNorth) >= length) {
        out.push(e / w, n / w, d / w, w, pass[start]);
        e = n = d = w = 0;
      }
      if (w === 0) {
        fromEast = east[i];
        fromNorth = north[i];
        length = Math.hypot(fromEast, fromNorth) < nearRadius ? near : far;
      }
      const rowWeight = weight === undefined ? 1 : weight[i];
      e += rowWeight * east[i];
      n += rowWeight * north[i];
      d += rowWeight * depth[i];
      w += rowWeight;
    }
    if (w > 0) out.push(e / w, n / w, d / w, w, pass[start]);
    out.finishRun(first);
  }
  return out.blocks(estimateNoise(soundings, runs, spike));
}

/**
 * Soundings that stand off from both neighbors of their run far more than the neighbors from their own.
 *
 * The tip of a steep cone stays: its sides differ among themselves as much as it does from them.
 */
function findSpikes(soundings: LocalSoundings, runs: readonly (readonly [number, number])[]): Uint8Array {
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
  }
  return spike;
}

/** Stand-off below which a sounding is never called a spike, m. */
const SPIKE_LEAST = 0.6;

/**
 * Noise of one sounding, m, from second differences along the runs: sd(z1 - 2 z2 + z3) = sqrt(6) noise.
 *
 * Drawn toward a usual value where the soundings are few; steep ground hardly moves the median.
 */
function estimateNoise(
  soundings: LocalSoundings,
  runs: readonly (readonly [number, number])[],
  spike: Uint8Array,
): number {
  const { depth, weight } = soundings;
  const differences: number[] = [];
  for (const [start, end] of runs) {
    for (let i = start + 1; i < end - 1; i++) {
      if (spike[i - 1] || spike[i] || spike[i + 1]) continue;
      const scale = weight === undefined ? 1 : Math.sqrt(Math.min(weight[i], 4));
      differences.push(Math.abs(depth[i - 1] - 2 * depth[i] + depth[i + 1]) * scale);
    }
  }
  if (differences.length === 0) return USUAL_NOISE;
  const found = medianOf(differences) / (0.6745 * Math.sqrt(6));
  const share = differences.length / (differences.length + 30);
  return Math.min(0.5, Math.max(0.04, Math.sqrt(share * found ** 2 + (1 - share) * USUAL_NOISE ** 2)));
}

/** m, of one sounding of a consumer echo sounder. */
const USUAL_NOISE = 0.11;

/** Collects blocks; after each run it fills in way and gradient along it. */
class BlockRows {
  count = 0;
  private readonly east: Float64Array;
  private readonly north: Float64Array;
  private readonly depth: Float64Array;
  private readonly weight: Float64Array;
  private readonly pass: Int32Array;
  private readonly wayEast: Float64Array;
  private readonly wayNorth: Float64Array;
  private readonly along: Float64Array;

  constructor(size: number) {
    this.east = new Float64Array(size);
    this.north = new Float64Array(size);
    this.depth = new Float64Array(size);
    this.weight = new Float64Array(size);
    this.pass = new Int32Array(size);
    this.wayEast = new Float64Array(size);
    this.wayNorth = new Float64Array(size);
    this.along = new Float64Array(size);
  }

  push(east: number, north: number, depth: number, weight: number, pass: number): void {
    const i = this.count++;
    this.east[i] = east;
    this.north[i] = north;
    this.depth[i] = depth;
    this.weight[i] = weight;
    this.pass[i] = pass;
  }

  finishRun(first: number): void {
    for (let i = first; i < this.count; i++) {
      const a = Math.max(first, i - 1);
      const b = Math.min(this.count - 1, i + 1);
      const de = this.east[b] - this.east[a];
      const dn = this.north[b] - this.north[a];
      const length = Math.hypot(de, dn);
      if (length < 1) continue;
      this.wayEast[i] = de / length;
      this.wayNorth[i] = dn / length;
      this.along[i] = (this.depth[b] - this.depth[a]) / length;
    }
  }

  blocks(noise: number): Blocks {
    const n = this.count;
    return {
      count: n,
      east: this.east.subarray(0, n),
      north: this.north.subarray(0, n),
      depth: this.depth.subarray(0, n),
      pass: this.pass.subarray(0, n),
      weight: this.weight.subarray(0, n),
      wayEast: this.wayEast.subarray(0, n),
      wayNorth: this.wayNorth.subarray(0, n),
      along: this.along.subarray(0, n),
      noise,
    };
  }
}
