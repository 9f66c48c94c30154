import { gather } from '../math/index.ts';
import type { LocalSoundings } from './local-rows.ts';
import { estimateNoise } from './noise.ts';
import { findSpikes } from './spikes.ts';

/** Means of soundings next to each other on one pass: what the surface is fitted to. */
export interface Blocks {
  readonly count: number;
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly depth: Float64Array;
  /**
   * Leg number, from 0: a stretch of a pass in one direction, without a jump.
   *
   * Position and depth errors are much the same along a leg; after the boat has turned around they differ.
   */
  readonly leg: Int32Array;
  /** Soundings in the block. */
  readonly weight: Float64Array;
  /** Unit vector of travel; zero for a boat at rest. */
  readonly wayEast: Float64Array;
  readonly wayNorth: Float64Array;
  /** Rate of deepening in the direction of travel, m/m, from the neighboring blocks of the pass. */
  readonly along: Float64Array;
  /** Estimated standard deviation of the noise of one sounding of the block, m. */
  readonly noise: Float64Array;
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
      squared(east[i] - east[i - 1], north[i] - north[i - 1]) > RUN_GAP * RUN_GAP ||
      (time !== undefined && Math.abs(time[i] - time[i - 1]) > RUN_GAP_SECONDS);
    if (ends) {
      if (i > start) runs.push([start, i]);
      start = i;
    }
  }
  return runs;
}

/** Lengths of blocks, m of track. */
export interface BlockLengths {
  /** Near the origin. */
  readonly near: number;
  /** Near the origin, where soundings are too far apart for a short block to average several. */
  readonly thin: number;
  readonly far: number;
}

/** Soundings farther apart than this are thin, m. */
const THIN_STEP = 3.5;

/**
 * Means over stretches of track, shorter within `nearRadius` of the origin than beyond.
 *
 * Spikes (see `findSpikes`) are left out.
 */
export function makeBlocks(
  soundings: LocalSoundings,
  runs: readonly (readonly [number, number])[],
  { near, thin, far }: BlockLengths,
  nearRadius: number,
): Blocks {
  const { east, north, depth, weight } = soundings;
  const spike = findSpikes(soundings, runs);
  const noise = estimateNoise(soundings, runs, spike);
  const out = new BlockRows(soundings.count);
  for (const [start, end] of runs) {
    const first = out.count;
    let e = 0;
    let n = 0;
    let d = 0;
    let w = 0;
    let fromEast = 0;
    let fromNorth = 0;
    let isNear = false;
    let from = start;
    for (let i = start; i < end; i++) {
      if (spike[i]) continue;
      const travelled = squared(east[i] - fromEast, north[i] - fromNorth);
      const nearLength = travelled > (w * THIN_STEP) ** 2 ? thin : near;
      if (w > 0 && travelled >= (isNear ? nearLength : far) ** 2) {
        out.push(e / w, n / w, d / w, w, noise.near(Math.floor((from + i) / 2)));
        e = n = d = w = 0;
      }
      if (w === 0) {
        fromEast = east[i];
        fromNorth = north[i];
        from = i;
        isNear = squared(fromEast, fromNorth) < nearRadius * nearRadius;
      }
      const rowWeight = weight === undefined ? 1 : weight[i];
      e += rowWeight * east[i];
      n += rowWeight * north[i];
      d += rowWeight * depth[i];
      w += rowWeight;
    }
    if (w > 0) out.push(e / w, n / w, d / w, w, noise.near(Math.floor((from + end) / 2)));
    out.finishRun(first);
  }
  return out.blocks();
}

/** Squared length; `Math.hypot` is too slow for every row. */
const squared = (east: number, north: number): number => east * east + north * north;

/** A leg ends where the cosine of the turn falls below this. */
const LEG_TURN = 0;

/** Collects blocks; after each run, fills in the direction of travel and the rate of deepening along it. */
class BlockRows {
  count = 0;
  private readonly east: Float64Array;
  private readonly north: Float64Array;
  private readonly depth: Float64Array;
  private readonly weight: Float64Array;
  private readonly noise: Float64Array;
  private readonly leg: Int32Array;
  private legs = 0;
  private readonly wayEast: Float64Array;
  private readonly wayNorth: Float64Array;
  private readonly along: Float64Array;

  constructor(size: number) {
    this.east = new Float64Array(size);
    this.north = new Float64Array(size);
    this.depth = new Float64Array(size);
    this.weight = new Float64Array(size);
    this.noise = new Float64Array(size);
    this.leg = new Int32Array(size);
    this.wayEast = new Float64Array(size);
    this.wayNorth = new Float64Array(size);
    this.along = new Float64Array(size);
  }

  push(east: number, north: number, depth: number, weight: number, noise: number): void {
    const i = this.count++;
    this.east[i] = east;
    this.north[i] = north;
    this.depth[i] = depth;
    this.weight[i] = weight;
    this.noise[i] = noise;
  }

  finishRun(first: number): void {
    for (let i = first; i < this.count; i++) {
      const a = Math.max(first, i - 1);
      const b = Math.min(this.count - 1, i + 1);
      const de = this.east[b] - this.east[a];
      const dn = this.north[b] - this.north[a];
      const length = Math.sqrt(squared(de, dn));
      if (length < 1) continue;
      this.wayEast[i] = de / length;
      this.wayNorth[i] = dn / length;
      this.along[i] = (this.depth[b] - this.depth[a]) / length;
    }
    this.numberLegs(first);
  }

  /** Ends a leg where the direction of travel has turned more than 90 degrees from the leg's first direction. */
  private numberLegs(first: number): void {
    let east = 0;
    let north = 0;
    for (let i = first; i < this.count; i++) {
      const turn = this.wayEast[i] * east + this.wayNorth[i] * north;
      if (i === first || turn < LEG_TURN) {
        if (i > first && (this.wayEast[i] !== 0 || this.wayNorth[i] !== 0)) this.legs++;
        east = this.wayEast[i];
        north = this.wayNorth[i];
      }
      this.leg[i] = this.legs;
    }
    if (this.count > first) this.legs++;
  }

  blocks(): Blocks {
    const n = this.count;
    return {
      count: n,
      east: this.east.subarray(0, n),
      north: this.north.subarray(0, n),
      depth: this.depth.subarray(0, n),
      leg: this.leg.subarray(0, n),
      weight: this.weight.subarray(0, n),
      wayEast: this.wayEast.subarray(0, n),
      wayNorth: this.wayNorth.subarray(0, n),
      along: this.along.subarray(0, n),
      noise: this.noise.subarray(0, n),
    };
  }
}

/** The blocks that `isKept` accepts. */
export function pickBlocks(blocks: Blocks, isKept: (block: number) => boolean): Blocks {
  const rows = Array.from({ length: blocks.count }, (_, i) => i).filter(isKept);
  const take = (column: Float64Array): Float64Array => gather(column, rows);
  return {
    count: rows.length,
    east: take(blocks.east),
    north: take(blocks.north),
    depth: take(blocks.depth),
    leg: Int32Array.from(rows, (i) => blocks.leg[i]),
    weight: take(blocks.weight),
    wayEast: take(blocks.wayEast),
    wayNorth: take(blocks.wayNorth),
    along: take(blocks.along),
    noise: take(blocks.noise),
  };
}

/** Distance from a place to the nearest block, m. */
export function nearestBlock({ count, east, north }: Blocks, atEast: number, atNorth: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < count; i++) {
    const square = (east[i] - atEast) ** 2 + (north[i] - atNorth) ** 2;
    if (square < least) least = square;
  }
  return Math.sqrt(least);
}
