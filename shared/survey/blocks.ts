import type { Soundings } from '../contract/index.ts';
import { metersPerDegree } from '../geo/index.ts';
import { shortTurn } from './steps.ts';

/**
 * Number of recent blocks searched when a boat returns to an earlier place on the same pass; a boat at rest
 * drifts among no more than these.
 */
const BLOCKS_BACK = 16;
/** Number of rows between two looks at whether there is room for more blocks. */
const STRETCH = 2048;

/**
 * Means of neighboring soundings along each pass: every block spans at most `length` meters from its first sounding.
 *
 * A sounding that falls back into one of the last blocks of its pass joins that block, so a boat at rest
 * makes a handful of blocks however long it stays. Position, depth, time and temperature are means over the
 * soundings (weighted, ignoring missing values); `shallowest` is the minimum and `weight` the sum. Rows keep
 * their order.
 */
export function reduceToBlocks(log: Soundings, length: number): Soundings {
  const state: BlockState = {
    current: 0,
    count: 0,
    firstOfPass: 0,
    perLat: 0.5,
    perLon: 0.5,
    square: length * length,
    sums: new Float64Array(WIDTH * (log.count >> 2)),
  };
  for (let from = 0; from < log.count; from += STRETCH) {
    const to = Math.min(from + STRETCH, log.count);
    reserveBlocks(state, to - from);
    addRows(log, state, from, to);
  }
  return meansOf(log, state);
}

/** Blocks so far, carried from one stretch of a log to the next. */
interface BlockState {
  /** Block of the previous row. */
  current: number;
  count: number;
  firstOfPass: number;
  /** Meters per degree at the place where a block was last searched for. */
  perLat: number;
  perLon: number;
  /** Length of a block, squared, m2. */
  readonly square: number;
  /** Records of the blocks. */
  sums: Float64Array;
}

/**
 * Numbers in the record of a block, by position: row of its first sounding, shallowest depth, total weight, weighted
 * sums, and the weight of the soundings with a time and with a temperature. Positions and times are relative to the
 * first sounding, to keep full precision.
 */
const [FIRST, LEAST, WEIGHT, LAT, LON, DEPTH, TIME, TIMED, TEMPERATURE, WARM, WIDTH] = [
  0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10,
] as const;

function reserveBlocks(state: BlockState, more: number): void {
  const needed = WIDTH * (state.count + more);
  if (needed <= state.sums.length) return;
  const longer = new Float64Array(Math.max(needed, 2 * state.sums.length));
  longer.set(state.sums);
  state.sums = longer;
}

/** Adds the rows `[from, to)` to their blocks. */
function addRows(log: Soundings, state: BlockState, from: number, to: number): void {
  const { lat, lon, depth, time, pass, weight, shallowest, temperature } = log;
  const { square, sums } = state;
  let { current, perLat, perLon } = state;
  for (let i = from; i < to; i++) {
    const isSamePass = i > 0 && pass[i] === pass[i - 1];
    let at = WIDTH * current;
    let first = sums[at];
    let north = lat[i] - lat[first];
    // Keeps the difference small across the 180th meridian.
    let east = shortTurn(lon[i] - lon[first]);
    if (!isSamePass || !((north * perLat) ** 2 + (east * perLon) ** 2 < square)) {
      current = findBlock(log, state, isSamePass, i);
      ({ perLat, perLon } = state);
      at = WIDTH * current;
      first = sums[at];
      north = lat[i] - lat[first];
      east = shortTurn(lon[i] - lon[first]);
    }
    const w = weight[i];
    sums[at + WEIGHT] += w;
    sums[at + LAT] += w * north;
    sums[at + LON] += w * east;
    sums[at + DEPTH] += w * depth[i];
    if (shallowest[i] < sums[at + LEAST]) sums[at + LEAST] = shallowest[i];
    const since = time[i] - time[first];
    if (!Number.isNaN(since)) {
      sums[at + TIME] += w * since;
      sums[at + TIMED] += w;
    }
    if (temperature !== undefined && !Number.isNaN(temperature[i])) {
      sums[at + TEMPERATURE] += w * temperature[i];
      sums[at + WARM] += w;
    }
  }
  state.current = current;
}

/** One of the last blocks of the pass that begins near a row, the most recent first, or else a new one. */
function findBlock({ lat, lon }: Soundings, state: BlockState, isSamePass: boolean, row: number): number {
  const { sums, square } = state;
  if (!isSamePass) state.firstOfPass = state.count;
  const [perLat, perLon] = metersPerDegree(lat[row]);
  [state.perLat, state.perLon] = [perLat, perLon];
  const oldest = Math.max(state.firstOfPass, state.count - BLOCKS_BACK);
  for (let block = state.count - 1; block >= oldest; block--) {
    const first = sums[WIDTH * block + FIRST];
    const north = (lat[row] - lat[first]) * perLat;
    const east = shortTurn(lon[row] - lon[first]) * perLon;
    if (north * north + east * east < square) return block;
  }
  sums[WIDTH * state.count + FIRST] = row;
  sums[WIDTH * state.count + LEAST] = Number.POSITIVE_INFINITY;
  return state.count++;
}

function meansOf({ lat, lon, time, pass, temperature }: Soundings, { count, sums }: BlockState): Soundings {
  const out = {
    count,
    lat: new Float64Array(count),
    lon: new Float64Array(count),
    depth: new Float32Array(count),
    time: new Float64Array(count),
    pass: new Int32Array(count),
    weight: new Float32Array(count),
    shallowest: new Float32Array(count),
    ...(temperature && { temperature: new Float32Array(count) }),
  };
  for (let k = 0; k < count; k++) {
    const at = WIDTH * k;
    const first = sums[at + FIRST];
    const w = sums[at + WEIGHT];
    out.lat[k] = lat[first] + sums[at + LAT] / w;
    out.lon[k] = shortTurn(lon[first] + sums[at + LON] / w);
    out.depth[k] = sums[at + DEPTH] / w;
    out.time[k] = time[first] + sums[at + TIME] / sums[at + TIMED];
    out.pass[k] = pass[first];
    out.weight[k] = w;
    out.shallowest[k] = sums[at + LEAST];
    if (out.temperature !== undefined) out.temperature[k] = sums[at + TEMPERATURE] / sums[at + WARM];
  }
  return out;
}
