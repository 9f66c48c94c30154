import type { Soundings } from '../contract/index.ts';
import { metersPerDegree } from '../geo/index.ts';
import { STRETCH, shortTurn } from './steps.ts';

/**
 * Number of recent blocks searched when a boat returns to an earlier place on the same pass; a boat at rest
 * drifts among no more than these.
 */
const BLOCKS_BACK = 16;

/**
 * Means of neighboring soundings along each pass: every block spans at most `length` meters from its first sounding.
 *
 * A sounding that falls back into one of the last blocks of its pass joins that block, so a boat at rest
 * makes a handful of blocks however long it stays. Position, depth, time and temperature are means over the
 * soundings (weighted, ignoring missing values); `shallowest` is the minimum and `weight` the sum. Rows keep
 * their order.
 */
export function reduceToBlocks(log: Soundings, length: number): Soundings {
  const state: BlockState = { block: -1, firstOfPass: 0, perLat: 0.5, perLon: 0.5, square: length * length };
  const sums = createSums();
  reserveBlocks(sums, log.count >> 2);
  for (let from = 0; from < log.count; from += STRETCH) {
    const to = Math.min(from + STRETCH, log.count);
    reserveBlocks(sums, to - from);
    addStretch(log, state, sums, from, to);
  }
  return meansOf(log, sums);
}

/** State of the reduction, carried from one stretch of a log to the next. */
interface BlockState {
  /** Block of the previous row; -1 at the start. */
  block: number;
  firstOfPass: number;
  /** Meters per degree at the place where a block was last searched for. */
  perLat: number;
  perLon: number;
  /** Length of a block, squared, m2. */
  readonly square: number;
}

/** Sums over the soundings of each block, taken relative to its first sounding to keep full precision. */
interface BlockSums {
  count: number;
  /** Row and position of the first sounding. */
  first: Int32Array;
  firstLat: Float64Array;
  firstLon: Float64Array;
  weight: Float64Array;
  lat: Float64Array;
  lon: Float64Array;
  depth: Float64Array;
  time: Float64Array;
  /** Total weight of the soundings with a time; `warm` is that of the soundings with a temperature. */
  timed: Float64Array;
  temperature: Float64Array;
  warm: Float64Array;
  least: Float32Array;
}

const createSums = (): BlockSums => ({
  count: 0,
  first: new Int32Array(0),
  firstLat: new Float64Array(0),
  firstLon: new Float64Array(0),
  weight: new Float64Array(0),
  lat: new Float64Array(0),
  lon: new Float64Array(0),
  depth: new Float64Array(0),
  time: new Float64Array(0),
  timed: new Float64Array(0),
  temperature: new Float64Array(0),
  warm: new Float64Array(0),
  least: new Float32Array(0),
});

function reserveBlocks(sums: BlockSums, more: number): void {
  const needed = sums.count + more;
  if (needed <= sums.first.length) return;
  const capacity = Math.max(needed, 2 * sums.first.length);
  const longer = <T extends Float64Array | Float32Array | Int32Array>(from: T): T => {
    const to = new (from.constructor as new (length: number) => T)(capacity);
    to.set(from);
    return to;
  };
  sums.first = longer(sums.first);
  sums.firstLat = longer(sums.firstLat);
  sums.firstLon = longer(sums.firstLon);
  sums.weight = longer(sums.weight);
  sums.lat = longer(sums.lat);
  sums.lon = longer(sums.lon);
  sums.depth = longer(sums.depth);
  sums.time = longer(sums.time);
  sums.timed = longer(sums.timed);
  sums.temperature = longer(sums.temperature);
  sums.warm = longer(sums.warm);
  sums.least = longer(sums.least);
}

/**
 * Adds the rows `[from, to)` to their blocks.
 *
 * Each row is visited once. The sums of the current block are kept in local variables because most rows join
 * the same block as the previous row.
 */
function addStretch(log: Soundings, state: BlockState, sums: BlockSums, from: number, to: number): void {
  const { lat, lon, depth, time, pass, weight, shallowest, temperature } = log;
  const { square } = state;
  let { block } = state;
  let origin = 0;
  let w = 0;
  let sumLat = 0;
  let sumLon = 0;
  let sumDepth = 0;
  let sumTime = 0;
  let timed = 0;
  let sumTemperature = 0;
  let warm = 0;
  let least = Number.POSITIVE_INFINITY;
  let isAtHand = false;
  for (let i = from; i < to; i++) {
    let north = 0;
    let east = 0;
    let isNear = false;
    if (isAtHand && pass[i] === pass[i - 1]) {
      north = lat[i] - lat[origin];
      east = shortTurn(lon[i] - lon[origin]);
      const y = north * state.perLat;
      const x = east * state.perLon;
      isNear = y * y + x * x < square;
    }
    if (!isNear) {
      if (isAtHand) {
        sums.weight[block] = w;
        sums.lat[block] = sumLat;
        sums.lon[block] = sumLon;
        sums.depth[block] = sumDepth;
        sums.time[block] = sumTime;
        sums.timed[block] = timed;
        sums.temperature[block] = sumTemperature;
        sums.warm[block] = warm;
        sums.least[block] = least;
      }
      block = blockOf(log, state, sums, i);
      isAtHand = true;
      origin = sums.first[block];
      w = sums.weight[block];
      sumLat = sums.lat[block];
      sumLon = sums.lon[block];
      sumDepth = sums.depth[block];
      sumTime = sums.time[block];
      timed = sums.timed[block];
      sumTemperature = sums.temperature[block];
      warm = sums.warm[block];
      least = sums.least[block];
      north = lat[i] - lat[origin];
      // Keeps the difference small across the 180th meridian.
      east = shortTurn(lon[i] - lon[origin]);
    }
    const rowWeight = weight[i];
    w += rowWeight;
    sumLat += rowWeight * north;
    sumLon += rowWeight * east;
    sumDepth += rowWeight * depth[i];
    if (shallowest[i] < least) least = shallowest[i];
    const dt = time[i] - time[origin];
    if (!Number.isNaN(dt)) {
      sumTime += rowWeight * dt;
      timed += rowWeight;
    }
    if (temperature !== undefined && !Number.isNaN(temperature[i])) {
      sumTemperature += rowWeight * temperature[i];
      warm += rowWeight;
    }
  }
  sums.weight[block] = w;
  sums.lat[block] = sumLat;
  sums.lon[block] = sumLon;
  sums.depth[block] = sumDepth;
  sums.time[block] = sumTime;
  sums.timed[block] = timed;
  sums.temperature[block] = sumTemperature;
  sums.warm[block] = warm;
  sums.least[block] = least;
  state.block = block;
}

/** Block of a row: the previous row's block, one of the last blocks of the pass, or a new one. */
function blockOf({ lat, lon, pass }: Soundings, state: BlockState, sums: BlockSums, i: number): number {
  const isSamePass = i > 0 && pass[i] === pass[i - 1];
  if (isSamePass && nearBlock(state, sums, lat[i], lon[i], state.block, state.block) >= 0) return state.block;
  if (!isSamePass) state.firstOfPass = sums.count;
  [state.perLat, state.perLon] = metersPerDegree(lat[i]);
  const oldest = Math.max(state.firstOfPass, sums.count - BLOCKS_BACK);
  let block = nearBlock(state, sums, lat[i], lon[i], sums.count - 1, oldest);
  if (block < 0) {
    block = sums.count++;
    sums.first[block] = i;
    sums.firstLat[block] = lat[i];
    sums.firstLon[block] = lon[i];
    sums.least[block] = Number.POSITIVE_INFINITY;
  }
  state.block = block;
  return block;
}

/** The most recent block, searching back from `from` to `oldest`, that begins near a place; -1 for none. */
function nearBlock(
  { perLat, perLon, square }: BlockState,
  { firstLat, firstLon }: BlockSums,
  lat: number,
  lon: number,
  from: number,
  oldest: number,
): number {
  for (let block = from; block >= oldest; block--) {
    const north = (lat - firstLat[block]) * perLat;
    const east = shortTurn(lon - firstLon[block]) * perLon;
    if (north * north + east * east < square) return block;
  }
  return -1;
}

function meansOf({ lat, lon, time, pass, temperature }: Soundings, sums: BlockSums): Soundings {
  const { count, first } = sums;
  const out = {
    count,
    lat: new Float64Array(count),
    lon: new Float64Array(count),
    depth: new Float32Array(count),
    time: new Float64Array(count),
    pass: new Int32Array(count),
    weight: new Float32Array(count),
    shallowest: sums.least.slice(0, count),
  };
  const warmth = temperature === undefined ? undefined : new Float32Array(count);
  for (let k = 0; k < count; k++) {
    const origin = first[k];
    const w = sums.weight[k];
    out.lat[k] = lat[origin] + sums.lat[k] / w;
    out.lon[k] = wrapped(lon[origin] + sums.lon[k] / w);
    out.depth[k] = sums.depth[k] / w;
    out.time[k] = time[origin] + sums.time[k] / sums.timed[k];
    out.pass[k] = pass[origin];
    out.weight[k] = w;
    if (warmth !== undefined) warmth[k] = sums.temperature[k] / sums.warm[k];
  }
  return warmth === undefined ? out : { ...out, temperature: warmth };
}

const wrapped = (lon: number): number => (lon > 180 ? lon - 360 : lon < -180 ? lon + 360 : lon);
