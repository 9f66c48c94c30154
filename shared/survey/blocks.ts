import type { Soundings } from '../contract/index.ts';
import { metersPerDegree } from '../geo/index.ts';
import { shortTurn } from './steps.ts';

/** Number of recent blocks of a pass that a sounding may join; a boat at rest drifts among fewer blocks. */
const BLOCKS_BACK = 16;

/**
 * Averages neighboring soundings of each pass. A block holds soundings within `length` meters of its first.
 *
 * A sounding within one of the last 16 blocks of its pass joins that block, so a boat at rest makes only a
 * few blocks however long it stays. Position, depth, time and temperature are weighted means without missing
 * values; `shallowest` is the minimum and `weight` the sum. Blocks are in the order of their first soundings.
 */
export function reduceToBlocks(log: Soundings, length: number): Soundings {
  const { lat, lon, depth, time, pass, weight, shallowest, temperature } = log;
  const { block, first } = blocksOf(log, length);
  const total = new Float64Array(first.length);
  const least = new Float32Array(first.length).fill(Number.POSITIVE_INFINITY);
  for (let i = 0; i < log.count; i++) {
    total[block[i]] += weight[i];
    if (shallowest[i] < least[block[i]]) least[block[i]] = shallowest[i];
  }
  const mean = (of: (row: number, first: number) => number): Float64Array => {
    const sums = new Float64Array(first.length);
    const weights = new Float64Array(first.length);
    for (let i = 0; i < log.count; i++) {
      const value = of(i, first[block[i]]);
      if (Number.isNaN(value)) continue;
      sums[block[i]] += weight[i] * value;
      weights[block[i]] += weight[i];
    }
    return sums.map((sum, k) => sum / weights[k]);
  };
  // Differences from the first sounding of the block are averaged, to keep full precision.
  const meanFrom = (column: Float64Array): Float64Array =>
    mean((row, from) => column[row] - column[from]).map((off, k) => column[first[k]] + off);
  // Longitudes are averaged as differences too, because these stay small across the 180th meridian.
  const turns = mean((row, from) => shortTurn(lon[row] - lon[from]));
  return {
    count: first.length,
    lat: meanFrom(lat),
    lon: turns.map((turn, k) => shortTurn(lon[first[k]] + turn)),
    depth: Float32Array.from(mean((row) => depth[row])),
    time: meanFrom(time),
    pass: Int32Array.from(first, (row) => pass[row]),
    weight: Float32Array.from(total),
    shallowest: least,
    ...(temperature && { temperature: Float32Array.from(mean((row) => temperature[row])) }),
  };
}

/** Returns the number of the block of each row, and the first row of each block. */
function blocksOf({ count, lat, lon, pass }: Soundings, length: number) {
  const block = new Int32Array(count);
  const first: number[] = [];
  let firstOfPass = 0;
  let [perLat, perLon] = [0, 0];
  const isIn = (row: number, k: number): boolean => {
    const north = (lat[row] - lat[first[k]]) * perLat;
    const east = shortTurn(lon[row] - lon[first[k]]) * perLon;
    return north * north + east * east < length * length;
  };
  for (let i = 0; i < count; i++) {
    const isSamePass = i > 0 && pass[i] === pass[i - 1];
    if (!isSamePass) firstOfPass = first.length;
    let k = isSamePass ? block[i - 1] : -1;
    if (!isSamePass || !isIn(i, k)) {
      [perLat, perLon] = metersPerDegree(lat[i]);
      const oldest = Math.max(firstOfPass, first.length - BLOCKS_BACK);
      k = first.length - 1;
      while (k >= oldest && !isIn(i, k)) k--;
      if (k < oldest) k = first.push(i) - 1;
    }
    block[i] = k;
  }
  return { block, first };
}
