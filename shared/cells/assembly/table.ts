import {
  cellEasts,
  cellNorths,
  cellOf,
  firsts,
  grid,
  lats,
  lons,
  norths,
  order,
  PER_DEGREE_EAST,
  reserveCells,
  reserveGrid,
  rows,
  starts,
} from './memory';

/** The table of `cell-table.ts`, by a grid of the whole box. */

const POLE: f64 = 5;
const MERIDIAN: f64 = 0.1;
const LEAST_GRID: f64 = 1_000_000;
const GRID_PER_ROW: f64 = 16;
/** In place of its cell, of a row that stands in none. */
const NONE: i32 = i32.MIN_VALUE;

export let cellCount: i32 = 0;
export let south: i32 = 0;
export let height: i32 = 0;
let west: i32 = 0;
let width: i32 = 0;

/** Cells per degree of longitude in a row of cells. */
export function perDegreeEast(north: i32): f64 {
  const degree = <usize>(<i32>Math.round(<f64>north / perDegree()) + 90);
  return load<f64>(PER_DEGREE_EAST + (degree << 3));
}

/** Cells per degree of latitude: as of longitude at the equator. */
function perDegree(): f64 {
  return load<f64>(PER_DEGREE_EAST + 8 * 90);
}

/** False where the box is too large for a grid, or for the memory. */
export function makeTable(): bool {
  placeRows();
  const cells = <f64>width * <f64>height;
  if (cells > Math.max(LEAST_GRID, GRID_PER_ROW * <f64>rows)) return false;
  if (!reserveGrid(<usize>width * <usize>height)) return false;
  numberCells();
  if (!reserveCells(<usize>cellCount, <usize>height)) return false;
  describeCells();
  orderRows();
  return true;
}

/** Finds the place of each row's cell, and the box of all. */
function placeRows(): void {
  const scale = perDegree();
  let top = 0;
  let last = 0;
  let isFirst = true;
  south = west = 0;
  height = width = 0;
  for (let i: usize = 0; i < <usize>rows; i++) {
    const lat = load<f64>(lats + (i << 3));
    const lon = load<f64>(lons + (i << 3));
    if (!(Math.abs(lat) < 90 - POLE && Math.abs(lon) < 180 - MERIDIAN)) {
      store<i32>(cellOf + (i << 2), NONE);
      continue;
    }
    const north = <i32>Math.floor(lat * scale);
    const east = <i32>Math.floor(lon * perDegreeEast(north));
    store<i32>(norths + (i << 2), north);
    store<i32>(cellOf + (i << 2), east);
    if (isFirst) {
      south = top = north;
      west = last = east;
      isFirst = false;
    }
    south = min(south, north);
    top = max(top, north);
    west = min(west, east);
    last = max(last, east);
  }
  if (isFirst) return;
  width = last - west + 1;
  height = top - south + 1;
}

/** Numbers the cells in which rows stand from south to north and from west to east. */
function numberCells(): void {
  for (let i: usize = 0; i < <usize>rows; i++) {
    const at = cellOf + (i << 2);
    const east = load<i32>(at);
    if (east === NONE) {
      store<i32>(at, -1);
      continue;
    }
    const key = (load<i32>(norths + (i << 2)) - south) * width + east - west;
    store<i32>(at, key);
    store<i32>(grid + ((<usize>key) << 2), 1);
  }
  cellCount = 0;
  const end = grid + ((<usize>width * <usize>height) << 2);
  for (let at = grid; at < end; at += 4) if (load<i32>(at) !== 0) store<i32>(at, ++cellCount);
  for (let i: usize = 0; i < <usize>rows; i++) {
    const at = cellOf + (i << 2);
    const key = load<i32>(at);
    if (key >= 0) store<i32>(at, load<i32>(grid + ((<usize>key) << 2)) - 1);
  }
}

/** Where the cells are, and the first of each row of cells. */
function describeCells(): void {
  let cell: usize = 0;
  let at = grid;
  for (let row = 0; row < height; row++) {
    store<i32>(firsts + ((<usize>row) << 2), <i32>cell);
    for (let column = 0; column < width; column++, at += 4) {
      if (load<i32>(at) === 0) continue;
      store<i32>(cellNorths + (cell << 2), south + row);
      store<i32>(cellEasts + (cell << 2), west + column);
      cell++;
    }
  }
  store<i32>(firsts + ((<usize>height) << 2), <i32>cell);
}

/** Puts the rows in order of their cells. */
function orderRows(): void {
  for (let i: usize = 0; i < <usize>rows; i++) {
    const cell = load<i32>(cellOf + (i << 2));
    if (cell < 0) continue;
    const at = starts + ((<usize>cell + 1) << 2);
    store<i32>(at, load<i32>(at) + 1);
  }
  // The end of each cell, counted down to its start by its rows, the last one first.
  let sum: i32 = 0;
  for (let cell: usize = 0; cell < <usize>cellCount; cell++) {
    sum += load<i32>(starts + ((cell + 1) << 2));
    store<i32>(starts + (cell << 2), sum);
  }
  store<i32>(starts + ((<usize>cellCount) << 2), sum);
  for (let i: usize = <usize>rows; i-- > 0; ) {
    const cell = load<i32>(cellOf + (i << 2));
    if (cell < 0) continue;
    const at = starts + ((<usize>cell) << 2);
    const place = load<i32>(at) - 1;
    store<i32>(at, place);
    store<i32>(order + ((<usize>place) << 2), <i32>i);
  }
}
