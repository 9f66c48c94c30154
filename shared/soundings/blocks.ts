import type { Soundings } from '../contract/soundings.ts';
import { metersPerDegree } from './steps.ts';

/** Blocks looked back over when a boat comes back to where it was on the same pass: at rest it stays within these. */
const BLOCKS_BACK = 16;

/**
 * Means of neighboring soundings along each pass: every block spans at most `length` meters from its first sounding.
 *
 * A sounding that falls back into one of the last blocks of its pass joins it, so a boat at rest makes a handful of
 * blocks however long it lies there. Position, depth, time and temperature are means over the soundings (weighted,
 * missing values left out); `shallowest` is the least, `weight` the sum. Rows keep their order.
 */
export function reduceToBlocks(log: Soundings, length: number): Soundings {
  const { count, lat, lon, depth, time, pass, weight, shallowest, temperature } = log;
  const blockOf = new Int32Array(count);
  const blocks = assignBlocks(log, length, blockOf);
  const sums = {
    weight: new Float64Array(blocks),
    lat: new Float64Array(blocks),
    lon: new Float64Array(blocks),
    depth: new Float64Array(blocks),
    time: new Float64Array(blocks),
    timed: new Float64Array(blocks),
    temperature: new Float64Array(blocks),
    warm: new Float64Array(blocks),
  };
  const first = new Int32Array(blocks).fill(-1);
  const least = new Float32Array(blocks).fill(Number.POSITIVE_INFINITY);
  const blockPass = new Int32Array(blocks);
  // One loop: each row is touched once, and the sums of a block lie together in the cache.
  for (let i = 0; i < count; i++) {
    const k = blockOf[i];
    if (first[k] < 0) {
      first[k] = i;
      blockPass[k] = pass[i];
    }
    const origin = first[k];
    const w = weight[i];
    sums.weight[k] += w;
    // Differences from the first sounding keep every digit, and longitudes whole across 180 degrees.
    sums.lat[k] += w * (lat[i] - lat[origin]);
    sums.lon[k] += w * shortTurn(lon[i] - lon[origin]);
    sums.depth[k] += w * depth[i];
    if (shallowest[i] < least[k]) least[k] = shallowest[i];
    const dt = time[i] - time[origin];
    if (!Number.isNaN(dt)) {
      sums.time[k] += w * dt;
      sums.timed[k] += w;
    }
    if (temperature !== undefined && !Number.isNaN(temperature[i])) {
      sums.temperature[k] += w * temperature[i];
      sums.warm[k] += w;
    }
  }
  const out = {
    count: blocks,
    lat: new Float64Array(blocks),
    lon: new Float64Array(blocks),
    depth: new Float32Array(blocks),
    time: new Float64Array(blocks),
    pass: blockPass,
    weight: Float32Array.from(sums.weight),
    shallowest: least,
  };
  for (let k = 0; k < blocks; k++) {
    const origin = first[k];
    const w = sums.weight[k];
    out.lat[k] = lat[origin] + sums.lat[k] / w;
    out.lon[k] = wrapped(lon[origin] + sums.lon[k] / w);
    out.depth[k] = sums.depth[k] / w;
    out.time[k] = time[origin] + sums.time[k] / sums.timed[k];
  }
  if (temperature === undefined) return out;
  return { ...out, temperature: Float32Array.from(sums.temperature, (sum, k) => sum / sums.warm[k]) };
}

/** Block number of each row, ascending by first row; returns how many blocks there are. */
function assignBlocks(log: Soundings, length: number, blockOf: Int32Array): number {
  const { count, lat, lon, pass } = log;
  if (count === 0) return 0;
  const starts = new Int32Array(count);
  const square = length * length;
  let blocks = 0;
  let firstOfPass = 0;
  let [perLat, perLon] = metersPerDegree(lat[0]);
  const isNear = (i: number, block: number): boolean => {
    const start = starts[block];
    const north = (lat[i] - lat[start]) * perLat;
    const east = shortTurn(lon[i] - lon[start]) * perLon;
    return north * north + east * east < square;
  };
  for (let i = 0; i < count; i++) {
    if (i > 0 && pass[i] === pass[i - 1] && isNear(i, blockOf[i - 1])) {
      blockOf[i] = blockOf[i - 1];
      continue;
    }
    if (i === 0 || pass[i] !== pass[i - 1]) firstOfPass = blocks;
    [perLat, perLon] = metersPerDegree(lat[i]);
    let block = blocks - 1;
    const oldest = Math.max(firstOfPass, blocks - BLOCKS_BACK);
    while (block >= oldest && !isNear(i, block)) block--;
    if (block < oldest) {
      block = blocks++;
      starts[block] = i;
    }
    blockOf[i] = block;
  }
  return blocks;
}

/** A difference of longitudes the short way round, deg. */
const shortTurn = (turn: number): number => (turn > 180 ? turn - 360 : turn < -180 ? turn + 360 : turn);

const wrapped = (lon: number): number => (lon > 180 ? lon - 360 : lon < -180 ? lon + 360 : lon);
