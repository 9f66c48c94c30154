import {
  BLOCK_DEPTHS,
  BLOCK_LATS,
  BLOCK_LONS,
  BLOCK_PASSES,
  BLOCK_SHALLOWEST,
  BLOCK_TEMPERATURES,
  BLOCK_TIMES,
  BLOCK_WEIGHTS,
  depthOf,
  latOf,
  lonOf,
  OPEN_BLOCKS,
  passOf,
  SHALLOWEST,
  TEMPERATURES,
  timeOf,
  WEIGHTS,
} from './memory';
import { perLat as perLatAt, perLon as perLonAt, setScale, shortTurn } from './steps';

/** The reduction of `blocks.ts`, rule for rule; see there. */

const BLOCKS_BACK: i32 = 16;
/** Places for open blocks, a power of two above `BLOCKS_BACK`. */
const PLACES: i32 = 32;

/** Of an open block, in bytes from its place: its first row, and the sums over its rows. */
const FIRST_LAT: usize = 0;
const FIRST_LON: usize = 8;
const FIRST_TIME: usize = 16;
const WEIGHT: usize = 24;
const LAT: usize = 32;
const LON: usize = 40;
const DEPTH: usize = 48;
const TIME: usize = 56;
const TIMED: usize = 64;
const TEMPERATURE: usize = 72;
const WARM: usize = 80;
const LEAST: usize = 88;
const PASS: usize = 92;
const BLOCK_BYTES: usize = 96;

/** Blocks made, those handed out, and the one of the row before; -1 before the first row. */
let made: i32 = 0;
let handed: i32 = 0;
let block: i32 = -1;
let firstOfPass: i32 = 0;
let lastPass: i32 = 0;
let square: f64 = 0;
let perLat: f64 = 0.5;
let perLon: f64 = 0.5;

/** Blocks that the last call has handed out. */
export let ready: i32 = 0;

export function beginBlocks(length: f64): void {
  made = handed = firstOfPass = 0;
  block = -1;
  square = length * length;
  perLat = perLon = 0.5;
}

// Of block `number`; open ones lie at places in turn.
function placeOf(number: i32): usize {
  return OPEN_BLOCKS + <usize>(number & (PLACES - 1)) * BLOCK_BYTES;
}

export function addRows(rows: i32, hasTemperature: bool): void {
  ready = 0;
  for (let row: usize = 0; row < <usize>rows; row++) {
    const lat = latOf(row);
    const lon = lonOf(row);
    const pass = passOf(row);
    choose(lat, lon, timeOf(row), pass);
    lastPass = pass;
    const at = placeOf(block);
    const own = <f64>load<f32>(WEIGHTS + (row << 2));
    add(at, WEIGHT, own);
    add(at, LAT, own * (lat - load<f64>(at, FIRST_LAT)));
    add(at, LON, own * shortTurn(lon - load<f64>(at, FIRST_LON)));
    add(at, DEPTH, own * <f64>depthOf(row));
    const shallow = load<f32>(SHALLOWEST + (row << 2));
    if (shallow < load<f32>(at, LEAST)) store<f32>(at, shallow, LEAST);
    const later = timeOf(row) - load<f64>(at, FIRST_TIME);
    // True of every number but NaN.
    if (later <= Infinity) {
      add(at, TIME, own * later);
      add(at, TIMED, own);
    }
    if (hasTemperature) {
      const temperature = <f64>load<f32>(TEMPERATURES + (row << 2));
      if (temperature <= Infinity) {
        add(at, TEMPERATURE, own * temperature);
        add(at, WARM, own);
      }
    }
  }
}

function add(at: usize, what: usize, amount: f64): void {
  store<f64>(at + what, load<f64>(at + what) + amount);
}

/** Hands out the blocks that are still open, at the end of a log. */
export function closeBlocks(): void {
  ready = 0;
  while (handed < made) handOut();
}

/** Block of a row: that of the row before, one of the last of its pass, or a new one. */
function choose(lat: f64, lon: f64, time: f64, pass: i32): void {
  const isSamePass = block >= 0 && pass === lastPass;
  if (isSamePass && isNear(block, lat, lon)) return;
  if (!isSamePass) firstOfPass = made;
  setScale(lat);
  perLat = perLatAt;
  perLon = perLonAt;
  const oldest = firstOfPass > made - BLOCKS_BACK ? firstOfPass : made - BLOCKS_BACK;
  for (block = made - 1; block >= oldest; block--) if (isNear(block, lat, lon)) return;
  block = made++;
  if (made - handed > PLACES) handOut();
  const at = placeOf(block);
  memory.fill(at, 0, BLOCK_BYTES);
  store<f64>(at, lat, FIRST_LAT);
  store<f64>(at, lon, FIRST_LON);
  store<f64>(at, time, FIRST_TIME);
  store<f32>(at, Infinity, LEAST);
  store<i32>(at, pass, PASS);
}

function isNear(number: i32, lat: f64, lon: f64): bool {
  const at = placeOf(number);
  const north = (lat - load<f64>(at, FIRST_LAT)) * perLat;
  const east = shortTurn(lon - load<f64>(at, FIRST_LON)) * perLon;
  return north * north + east * east < square;
}

/** The means of the oldest open block, to the blocks that are ready. */
function handOut(): void {
  const at = placeOf(handed++);
  const to = <usize>ready;
  ready++;
  const weight = load<f64>(at, WEIGHT);
  store<f64>(BLOCK_LATS + (to << 3), load<f64>(at, FIRST_LAT) + load<f64>(at, LAT) / weight);
  store<f64>(BLOCK_LONS + (to << 3), wrapped(load<f64>(at, FIRST_LON) + load<f64>(at, LON) / weight));
  store<f64>(BLOCK_TIMES + (to << 3), load<f64>(at, FIRST_TIME) + load<f64>(at, TIME) / load<f64>(at, TIMED));
  store<f32>(BLOCK_DEPTHS + (to << 2), <f32>(load<f64>(at, DEPTH) / weight));
  store<f32>(BLOCK_WEIGHTS + (to << 2), <f32>weight);
  store<f32>(BLOCK_SHALLOWEST + (to << 2), load<f32>(at, LEAST));
  store<f32>(BLOCK_TEMPERATURES + (to << 2), <f32>(load<f64>(at, TEMPERATURE) / load<f64>(at, WARM)));
  store<i32>(BLOCK_PASSES + (to << 2), load<i32>(at, PASS));
}

function wrapped(lon: f64): f64 {
  return lon > 180 ? lon - 360 : lon < -180 ? lon + 360 : lon;
}
