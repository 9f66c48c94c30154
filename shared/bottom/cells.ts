import { CELL, CELL_WIDTH, type CellMeans } from '../contract/soundings.ts';
import { nearFrame } from '../geo/near-frame.ts';
import type { Blocks } from './blocks.ts';
import { MOST_CELLS } from './light-memory.ts';
import { type LightModule, lightModule } from './light-module.ts';
import { noiseOf, usualNoise } from './noise.ts';

/** Track within this distance of the waypoint tells how far passes are apart, m. */
const TRACK_RADIUS = 100;
/** Distances from the waypoint from which on cells are put together two by two, and four by four, m. */
const TWO_BY_TWO = 28;
const FOUR_BY_FOUR = 60;

/** Cells as blocks; `length` is that of the track within a radius, m. */
export interface MergedCells {
  readonly blocks: Blocks;
  readonly length: number;
  readonly soundings: number;
}

/**
 * Cells of a crowded neighborhood as blocks: small near the waypoint, two by two and four by four further out.
 *
 * Each counts as a leg of its own: the errors of many passes have averaged out in it, so those of two cells have little
 * in common.
 *
 * @param reach Distance to which cells reach, m.
 */
export function mergeCells(
  means: CellMeans,
  lat: number,
  lon: number,
  reach: number,
): { blocks: Blocks; passSpacing: number; soundings: number } {
  const radius = Math.min(TRACK_RADIUS, reach);
  const module = lightModule();
  const count = countOf(means);
  const { blocks, length, soundings } =
    module === undefined || count > MOST_CELLS
      ? mergePlainly(means, lat, lon, radius)
      : mergeFast(module, means, lat, lon, radius);
  return {
    passSpacing: (Math.PI * radius * radius) / Math.max(length, 1),
    soundings: Math.round(soundings),
    blocks,
  };
}

/** Cells in all runs, empty ones too. */
function countOf({ runs }: CellMeans): number {
  let count = 0;
  for (let run = 0; run < runs.length; run += 2) count += runs[run + 1] - runs[run];
  return count;
}

/** In WebAssembly: for no more than `MOST_CELLS`. */
export function mergeFast(
  module: LightModule,
  { runs, cells }: CellMeans,
  lat: number,
  lon: number,
  radius: number,
): MergedCells {
  const { blockMemory: memory } = module;
  let next = 0;
  for (let run = 0; run < runs.length; run += 2) {
    memory.cells.set(cells.subarray(runs[run] * CELL_WIDTH, runs[run + 1] * CELL_WIDTH), next * CELL_WIDTH);
    next += runs[run + 1] - runs[run];
  }
  const frame = nearFrame(lat, lon);
  const { east, eastChange, north, northChange, bend } = frame;
  module.mergeCells(next, radius, frame.lat, frame.lon, east, eastChange, north, northChange, bend);
  const count = module.blocks.value;
  const take = (column: Float64Array): Float64Array => column.slice(0, count);
  const columns = { east: take(memory.east), north: take(memory.north), depth: take(memory.depth) };
  return {
    blocks: { ...columns, ...ownLegs(count), weight: take(memory.weight), noise: take(memory.noise) },
    length: module.length.value,
    soundings: module.soundings.value,
  };
}

/** What all blocks have that are legs of their own. */
function ownLegs(count: number): Pick<Blocks, 'count' | 'leg' | 'wayEast' | 'wayNorth' | 'along'> {
  const leg = new Int32Array(count);
  for (let block = 0; block < count; block++) leg[block] = block;
  const none = new Float64Array(count);
  return { count, leg, wayEast: none, wayNorth: none, along: none };
}

/** The plain form and reference. */
export function mergePlainly(means: CellMeans, lat: number, lon: number, radius: number): MergedCells {
  const { runs, cells } = means;
  const frame = nearFrame(lat, lon);
  const most = countOf(means);
  const groups = new Groups(most);
  const [east, north, depth, weight, rough, roughs] = Array.from({ length: 6 }, () => new Float64Array(most));
  let [length, soundings, allRough, allRoughs] = [0, 0, 0, 0];
  for (let run = 0; run < runs.length; run += 2) {
    for (let at = runs[run] * CELL_WIDTH; at < runs[run + 1] * CELL_WIDTH; at += CELL_WIDTH) {
      const w = cells[at + CELL.weight];
      if (!(w > 0)) continue;
      const dLat = cells[at + CELL.lat] - frame.lat;
      const dLon = cells[at + CELL.lon] - frame.lon;
      const e = dLon * (frame.east + frame.eastChange * dLat);
      const n = dLat * (frame.north + frame.northChange * dLat) + frame.bend * dLon * dLon;
      const square = e * e + n * n;
      if (square < radius * radius) length += cells[at + CELL.track];
      const block = groups.of(cells[at + CELL.north], cells[at + CELL.east], square);
      east[block] += w * e;
      north[block] += w * n;
      depth[block] += w * cells[at + CELL.depth];
      weight[block] += w;
      rough[block] += cells[at + CELL.difference];
      roughs[block] += cells[at + CELL.differences];
      soundings += w;
      allRough += cells[at + CELL.difference];
      allRoughs += cells[at + CELL.differences];
    }
  }
  const { count } = groups;
  const mean = (sum: Float64Array): Float64Array =>
    sum.subarray(0, count).map((value, block) => value / weight[block]);
  const usual = usualNoise(allRough, allRoughs);
  const noise = Float64Array.from({ length: count }, (_, block) =>
    noiseOf(rough[block], roughs[block], usual),
  );
  const columns = { east: mean(east), north: mean(north), depth: mean(depth), noise };
  return {
    blocks: { ...columns, ...ownLegs(count), weight: weight.subarray(0, count) },
    length,
    soundings,
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
