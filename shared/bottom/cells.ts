import type { CellMeans } from '../contract/soundings.ts';
import { nearFrame } from '../geodesy/near-frame.ts';
import type { Blocks } from './blocks.ts';
import { noiseOf, usualNoise } from './noise.ts';

/** Track within this distance of the waypoint tells how far passes are apart, m. */
const TRACK_RADIUS = 100;
/** Distances from the waypoint from which on cells are put together two by two, and four by four, m. */
const TWO_BY_TWO = 28;
const FOUR_BY_FOUR = 60;

/**
 * Cells of a crowded neighborhood as blocks: small near the waypoint, two by two and four by four further out.
 *
 * Each counts as a leg of its own: the errors of many passes have averaged out in it, so those of two cells have little
 * in common.
 *
 * @param reach Distance to which cells reach, m.
 */
export function mergeCells(
  cells: CellMeans,
  lat: number,
  lon: number,
  reach: number,
): { blocks: Blocks; passSpacing: number; soundings: number } {
  const frame = nearFrame(lat, lon);
  const { near, weight, depth, track, difference, differences } = cells;
  const count = near.length;
  const groups = new Groups(count);
  // All columns in one piece of memory: small pieces cost more to get than to fill.
  const memory = new Float64Array(7 * count);
  const column = (k: number): Float64Array => memory.subarray(k * count, (k + 1) * count);
  const [east, north, depths, weights, rough, roughs] = [0, 1, 2, 3, 4, 5].map(column);
  const radius = Math.min(TRACK_RADIUS, reach);
  let [length, soundings, allRough, allRoughs] = [0, 0, 0, 0];
  for (let i = 0; i < count; i++) {
    const cell = near[i];
    const dLat = cells.lat[cell] - frame.lat;
    const dLon = cells.lon[cell] - frame.lon;
    const e = dLon * (frame.east + frame.eastChange * dLat);
    const n = dLat * (frame.north + frame.northChange * dLat) + frame.bend * dLon * dLon;
    const square = e * e + n * n;
    if (square < radius * radius) length += track[cell];
    const block = groups.of(cells.north[cell], cells.east[cell], square);
    const w = weight[cell];
    east[block] += w * e;
    north[block] += w * n;
    depths[block] += w * depth[cell];
    weights[block] += w;
    rough[block] += difference[cell];
    roughs[block] += differences[cell];
    soundings += w;
    allRough += difference[cell];
    allRoughs += differences[cell];
  }
  const size = groups.count;
  const usual = usualNoise(allRough, allRoughs);
  const leg = new Int32Array(size);
  for (let block = 0; block < size; block++) {
    east[block] /= weights[block];
    north[block] /= weights[block];
    depths[block] /= weights[block];
    rough[block] = noiseOf(rough[block], roughs[block], usual);
    leg[block] = block;
  }
  const none = memory.subarray(6 * count, 6 * count + size);
  return {
    passSpacing: (Math.PI * radius * radius) / Math.max(length, 1),
    soundings: Math.round(soundings),
    blocks: {
      count: size,
      east: east.subarray(0, size),
      north: north.subarray(0, size),
      depth: depths.subarray(0, size),
      weight: weights.subarray(0, size),
      leg,
      wayEast: none,
      wayNorth: none,
      along: none,
      noise: rough.subarray(0, size),
    },
  };
}

/** Bits of a key that tell a row of cells, more than there are in reach, and a cell of the row. */
const ROW_BITS = 10;
const CELL_BITS = 20;

/** Numbers the blocks that cells belong to, from 0 in the order met. */
class Groups {
  count = 0;
  private readonly keys: Int32Array;
  /** Number of the block with a key, and 1: 0 where there is none. */
  private readonly slots: Int32Array;
  private readonly shift: number;

  /** @param most Cells that there are. */
  constructor(most: number) {
    const bits = 33 - Math.clz32(most);
    this.keys = new Int32Array(most);
    this.slots = new Int32Array(1 << bits);
    this.shift = 32 - bits;
  }

  /** Block of a cell at a squared distance. */
  of(north: number, east: number, square: number): number {
    if (square < TWO_BY_TWO * TWO_BY_TWO) return this.count++;
    const level = square < FOUR_BY_FOUR * FOUR_BY_FOUR ? 1 : 2;
    const row = (north >> level) & ((1 << ROW_BITS) - 1);
    const key = (((level << ROW_BITS) | row) << CELL_BITS) | ((east >> level) & ((1 << CELL_BITS) - 1));
    const { keys, slots } = this;
    let slot = Math.imul(key, 0x9e3779b1) >>> this.shift;
    while (slots[slot] > 0) {
      if (keys[slots[slot] - 1] === key) return slots[slot] - 1;
      slot = (slot + 1) & (slots.length - 1);
    }
    keys[this.count] = key;
    slots[slot] = ++this.count;
    return this.count - 1;
  }
}
