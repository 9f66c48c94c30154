import {
  BLOCK_DEPTHS,
  BLOCK_EASTS,
  BLOCK_NOISES,
  BLOCK_NORTHS,
  BLOCK_WEIGHTS,
  CELL_BYTES,
  CELLS,
  DIFFERENCES,
  KEYS,
  SLOT_COUNT,
  SLOTS,
} from './memory';

/** The merging of cells of `cells.ts`, rule for rule; see there. */

const TWO_BY_TWO: f64 = 28;
const FOUR_BY_FOUR: f64 = 60;
const ROW_BITS: i32 = 10;
const CELL_BITS: i32 = 20;

/** See `noise.ts`. */
const USUAL_NOISE: f64 = 0.11;
const LEAST_NOISE: f64 = 0.04;
const MOST_NOISE: f64 = 0.5;
const REACH: f64 = 6;
const ROUGH: f64 = 2;
const MEAN_OF_DIFFERENCE: f64 = Math.sqrt(2 / Math.PI) * Math.sqrt(6);

/** Of a cell, in bytes from its record. */
const NORTH: usize = 0;
const EAST: usize = 8;
const LAT: usize = 16;
const LON: usize = 24;
const DEPTH: usize = 32;
const WEIGHT: usize = 40;
const TRACK: usize = 48;
const DIFFERENCE: usize = 56;
const DIFFERENCES_OF: usize = 64;

/** Blocks made; track near the waypoint, m; soundings behind all. */
export let blocks: i32 = 0;
export let length: f64 = 0;
export let soundings: f64 = 0;

/** Cells to blocks. @param lat And what follows: of the `NearFrame`. */
export function mergeCells(
  count: i32,
  radius: f64,
  lat: f64,
  lon: f64,
  toEast: f64,
  eastChange: f64,
  toNorth: f64,
  northChange: f64,
  bend: f64,
): void {
  blocks = 0;
  length = soundings = 0;
  memory.fill(BLOCK_EASTS, 0, KEYS - BLOCK_EASTS);
  memory.fill(SLOTS, 0, 4 * SLOT_COUNT);
  let rough: f64 = 0;
  let roughs: f64 = 0;
  const end = CELLS + <usize>count * CELL_BYTES;
  for (let cell = CELLS; cell < end; cell += CELL_BYTES) {
    const w = load<f64>(cell, WEIGHT);
    if (!(w > 0)) continue;
    const dLat = load<f64>(cell, LAT) - lat;
    const dLon = load<f64>(cell, LON) - lon;
    const e = dLon * (toEast + eastChange * dLat);
    const n = dLat * (toNorth + northChange * dLat) + bend * dLon * dLon;
    const square = e * e + n * n;
    if (square < radius * radius) length += load<f64>(cell, TRACK);
    const block = blockOf(<i32>load<f64>(cell, NORTH), <i32>load<f64>(cell, EAST), square) << 3;
    const difference = load<f64>(cell, DIFFERENCE);
    const differences = load<f64>(cell, DIFFERENCES_OF);
    add(BLOCK_EASTS + block, w * e);
    add(BLOCK_NORTHS + block, w * n);
    add(BLOCK_DEPTHS + block, w * load<f64>(cell, DEPTH));
    add(BLOCK_WEIGHTS + block, w);
    add(BLOCK_NOISES + block, difference);
    add(DIFFERENCES + block, differences);
    soundings += w;
    rough += difference;
    roughs += differences;
  }
  const usual = roughs === 0 ? USUAL_NOISE : clamp(rough / roughs / MEAN_OF_DIFFERENCE);
  for (let block: usize = 0; block < (<usize>blocks) << 3; block += 8) {
    const weight = load<f64>(BLOCK_WEIGHTS + block);
    store<f64>(BLOCK_EASTS + block, load<f64>(BLOCK_EASTS + block) / weight);
    store<f64>(BLOCK_NORTHS + block, load<f64>(BLOCK_NORTHS + block) / weight);
    store<f64>(BLOCK_DEPTHS + block, load<f64>(BLOCK_DEPTHS + block) / weight);
    const noise = noiseOf(load<f64>(BLOCK_NOISES + block), load<f64>(DIFFERENCES + block), usual);
    store<f64>(BLOCK_NOISES + block, noise);
  }
}

function add(at: usize, amount: f64): void {
  store<f64>(at, load<f64>(at) + amount);
}

/** Block of a cell at a squared distance. */
function blockOf(north: i32, east: i32, square: f64): usize {
  if (square < TWO_BY_TWO * TWO_BY_TWO) {
    blocks++;
    return <usize>(blocks - 1);
  }
  const level = square < FOUR_BY_FOUR * FOUR_BY_FOUR ? 1 : 2;
  const row = (north >> level) & ((1 << ROW_BITS) - 1);
  const key = (((level << ROW_BITS) | row) << CELL_BITS) | ((east >> level) & ((1 << CELL_BITS) - 1));
  let slot = ((key * <i32>0x9e3779b1) >>> 16) & (SLOT_COUNT - 1);
  let number = blockIn(slot);
  while (number >= 0 && load<i32>(KEYS + ((<usize>number) << 2)) !== key) {
    slot = (slot + 1) & (SLOT_COUNT - 1);
    number = blockIn(slot);
  }
  if (number >= 0) return <usize>number;
  store<i32>(KEYS + ((<usize>blocks) << 2), key);
  blocks++;
  store<i32>(SLOTS + ((<usize>slot) << 2), blocks);
  return <usize>(blocks - 1);
}

/** Number of the block in a slot; -1 for an empty one. */
function blockIn(slot: i32): i32 {
  return load<i32>(SLOTS + ((<usize>slot) << 2)) - 1;
}

function noiseOf(sum: f64, count: f64, usual: f64): f64 {
  const local = count < REACH ? usual : sum / count / MEAN_OF_DIFFERENCE;
  return local > ROUGH * usual ? Math.min(local, 2 * MOST_NOISE) : usual;
}

function clamp(noise: f64): f64 {
  return Math.min(MOST_NOISE, Math.max(LEAST_NOISE, noise));
}
