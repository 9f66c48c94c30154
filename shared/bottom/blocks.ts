import { medianOf, pickRows } from '../math/index.ts';
import type { LocalSoundings } from './local-rows.ts';
import { estimateNoise, findSpikes, type Noise } from './noise.ts';

/**
 * Means of neighboring soundings along a pass or in a cell. East and north are in m from the waypoint; depth
 * is in m, positive down.
 */
export interface Blocks {
  readonly count: number;
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly depth: Float64Array;
  /**
   * Leg number, from 0. A leg is a stretch of a pass in one direction, without a jump, or a single cell.
   *
   * Position and depth errors hardly change along a leg, but differ after the boat has turned around.
   */
  readonly leg: Int32Array;
  /** Number of soundings in the block. */
  readonly weight: Float64Array;
  /** East part of the unit vector in the direction of travel; 0 if unknown, as in a cell or at rest. */
  readonly wayEast: Float64Array;
  /** North part of the unit vector in the direction of travel; 0 if unknown, as `wayEast`. */
  readonly wayNorth: Float64Array;
  /** Rate of deepening in the direction of travel, m/m, from the neighboring blocks; 0 if unknown. */
  readonly along: Float64Array;
  /** Estimated standard deviation of the noise of one sounding of the block, m. */
  readonly noise: Float64Array;
}

/** Jump in position above which a run of soundings ends, m. */
const RUN_GAP = 20;
/** Jump in time above which a run of soundings ends, s. */
const RUN_GAP_SECONDS = 30;

/** Splits soundings into runs: rows `[start, end)` of one pass, without a jump in position or time. */
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
  readonly near: number;
  /** Near the origin, where soundings are too far apart for a short block to average several. */
  readonly thin: number;
  readonly far: number;
}

/** Mean distance between a block's soundings, m, above which `BlockLengths.thin` applies. */
const THIN_STEP = 3.5;

/**
 * Averages the soundings over stretches of track, shorter within `nearRadius` of the origin than beyond.
 *
 * @param nearRadius Radius, m. @param spike 1 for rows to leave out (`findSpikes`).
 */
export function makeBlocks(
  soundings: LocalSoundings,
  runs: readonly (readonly [number, number])[],
  { near, thin, far }: BlockLengths,
  nearRadius: number,
  spike = findSpikes(soundings, runs),
  noise: Noise = estimateNoise(soundings, runs, spike),
): Blocks {
  const { east, north, depth, weight } = soundings;
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

/** Returns the squared length of a vector; `Math.hypot` is too slow for every row. */
const squared = (east: number, north: number): number => east * east + north * north;

/** A leg ends where the cosine of the turn is below this value: at a turn of more than 90 deg. */
const LEG_TURN = 0;

/** Collects blocks. At the end of each run, computes directions of travel, rates of deepening and legs. */
class BlockRows {
  count = 0;
  private legs = 0;
  private readonly rows: Blocks;

  constructor(size: number) {
    this.rows = emptyBlocks(size);
  }

  push(east: number, north: number, depth: number, weight: number, noise: number): void {
    const { rows } = this;
    const i = this.count++;
    rows.east[i] = east;
    rows.north[i] = north;
    rows.depth[i] = depth;
    rows.weight[i] = weight;
    rows.noise[i] = noise;
  }

  finishRun(first: number): void {
    const { east, north, depth, wayEast, wayNorth, along } = this.rows;
    for (let i = first; i < this.count; i++) {
      const a = Math.max(first, i - 1);
      const b = Math.min(this.count - 1, i + 1);
      const de = east[b] - east[a];
      const dn = north[b] - north[a];
      const length = Math.sqrt(squared(de, dn));
      if (length < 1) continue;
      wayEast[i] = de / length;
      wayNorth[i] = dn / length;
      along[i] = (depth[b] - depth[a]) / length;
    }
    this.numberLegs(first);
  }

  /** Ends a leg where the boat has turned more than 90 deg from the leg's first direction. */
  private numberLegs(first: number): void {
    const { wayEast, wayNorth, leg } = this.rows;
    let east = 0;
    let north = 0;
    for (let i = first; i < this.count; i++) {
      const turn = wayEast[i] * east + wayNorth[i] * north;
      if (i === first || turn < LEG_TURN) {
        if (i > first && (wayEast[i] !== 0 || wayNorth[i] !== 0)) this.legs++;
        east = wayEast[i];
        north = wayNorth[i];
      }
      leg[i] = this.legs;
    }
    if (this.count > first) this.legs++;
  }

  blocks(): Blocks {
    return pickRows(
      this.rows,
      Array.from({ length: this.count }, (_, i) => i),
    );
  }
}

export const emptyBlocks = (count: number): Blocks => ({
  count,
  east: new Float64Array(count),
  north: new Float64Array(count),
  depth: new Float64Array(count),
  leg: new Int32Array(count),
  weight: new Float64Array(count),
  wayEast: new Float64Array(count),
  wayNorth: new Float64Array(count),
  along: new Float64Array(count),
  noise: new Float64Array(count),
});

export const pickBlocks = (blocks: Blocks, isKept: (block: number) => boolean): Blocks =>
  pickRows(blocks, Array.from({ length: blocks.count }, (_, i) => i).filter(isKept));

/** Returns the distance from (`atEast`, `atNorth`) to the nearest block, m; infinite without blocks. */
export function nearestBlock({ count, east, north }: Blocks, atEast: number, atNorth: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < count; i++) {
    const square = (east[i] - atEast) ** 2 + (north[i] - atNorth) ** 2;
    if (square < least) least = square;
  }
  return Math.sqrt(least);
}

/** Distance from the waypoint beyond which track does not count toward the pass spacing, m. */
const TRACK_RADIUS = 100;
/** Minimum distance between rows that counts as track, m: positions of a boat at rest jitter. */
const MIN_STEP = 2;
/** Minimum number of isolated soundings that make a field of points, as from a chart or a hand line. */
const MIN_POINTS = 12;

/**
 * Estimates the mean distance between passes near the origin, m: area of a circle / length of track inside.
 *
 * With the default reach, a single pass through the middle gives about 157 m; no track at all gives about 31
 * km. With 12 or more isolated soundings, the result is at most sqrt(area of the circle / their number).
 *
 * @param reach Distance from the origin to which the soundings reach, m.
 */
export function trackSpacing(
  soundings: LocalSoundings,
  runs: readonly (readonly [start: number, end: number])[],
  reach = TRACK_RADIUS,
): number {
  const radius = Math.min(TRACK_RADIUS, reach);
  const { east, north } = soundings;
  let length = 0;
  let points = 0;
  for (const [start, end] of runs) {
    let last = start;
    for (let i = start + 1; i < end; i++) {
      // `Math.hypot` is too slow for every row.
      const step = Math.sqrt((east[i] - east[last]) ** 2 + (north[i] - north[last]) ** 2);
      if (step < MIN_STEP) continue;
      if ((east[i] + east[last]) ** 2 + (north[i] + north[last]) ** 2 < (2 * radius) ** 2) length += step;
      last = i;
    }
    if (last === start && east[start] ** 2 + north[start] ** 2 < radius * radius) points++;
  }
  const area = Math.PI * radius * radius;
  const byTrack = area / Math.max(length, 1);
  return points < MIN_POINTS ? byTrack : Math.min(byTrack, Math.sqrt(area / points));
}

/** Distance from the waypoint within which blocks are used to measure roughness, m. */
const ROUGHNESS_REACH = 60;
/** Maximum distance between neighboring blocks that are used to measure roughness, m. */
const LONGEST_STEP = 9;
/** Minimum distance between neighboring blocks that are used to measure roughness, m. */
const SHORTEST_STEP = 2;
/** Minimum number of changes of slope; with fewer changes, the ground counts as even. */
const MIN_BENDS = 12;
/** Median of |x| for a standard normal x. */
const MEDIAN_OF_NORMAL = 0.6745;
/** Median change of slope between neighboring blocks, m/m, below which the ground is even. */
const EVEN = 0.04;
/** Median change of slope, m/m, above which the ground is rough everywhere. */
const ROUGH = 0.06;

/**
 * Estimates the roughness of the ground around a waypoint, 0 to 1, from the median change of slope between
 * neighboring blocks of a leg, less the part due to noise. Only blocks 2 to 9 m apart count.
 *
 * Most lake bottoms curve at the edges of forms and are even in between, so the median change is only 0.01 to
 * 0.04 m/m. On steep eroded terrain the median is 0.05 to 0.2 m/m.
 */
export function slopeChangeRoughness({ count, east, north, depth, leg, noise, weight }: Blocks): number {
  const slopeChanges: number[] = [];
  let noiseVariance = 0;
  const variance = (i: number): number => noise[i] ** 2 / weight[i];
  for (let i = 1; i < count - 1; i++) {
    if (leg[i - 1] !== leg[i] || leg[i + 1] !== leg[i]) continue;
    if (Math.hypot(east[i], north[i]) > ROUGHNESS_REACH) continue;
    const before = Math.hypot(east[i] - east[i - 1], north[i] - north[i - 1]);
    const after = Math.hypot(east[i + 1] - east[i], north[i + 1] - north[i]);
    if (Math.max(before, after) > LONGEST_STEP || Math.min(before, after) < SHORTEST_STEP) continue;
    const own = 1 / before + 1 / after;
    noiseVariance += variance(i - 1) / before ** 2 + variance(i) * own ** 2 + variance(i + 1) / after ** 2;
    slopeChanges.push(Math.abs((depth[i + 1] - depth[i]) / after - (depth[i] - depth[i - 1]) / before));
  }
  if (slopeChanges.length < MIN_BENDS) return 0;
  const ofNoise = MEDIAN_OF_NORMAL ** 2 * (noiseVariance / slopeChanges.length);
  const slopeChange = Math.sqrt(Math.max(0, medianOf(slopeChanges) ** 2 - ofNoise));
  return Math.min(1, Math.max(0, (slopeChange - EVEN) / (ROUGH - EVEN)));
}
