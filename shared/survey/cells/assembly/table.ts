import {
  cellEasts,
  cellNorths,
  cellOf,
  firsts,
  grid,
  latOf,
  lonOf,
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

let knownNorth: i32 = NONE;
let known: f64 = 0;

/** Cells per degree of longitude in a row of cells: mostly that of the row before. */
export function perDegreeEast(north: i32): f64 {
  if (north !== knownNorth) {
    const degree = <usize>(<i32>Math.round(<f64>north / perDegree()) + 90);
    known = load<f64>(PER_DEGREE_EAST + (degree << 3));
    knownNorth = north;
  }
  return known;
}

/** Cells per degree of latitude: as of longitude at the equator. */
export function perDegree(): f64 {
  return load<f64>(PER_DEGREE_EAST + 8 * 90);
}

let top: i32 = 0;
let last: i32 = 0;
let hasPlaces: bool = false;

/** Finds the place of the cell of rows `[from, to)`, and the box of all. */
export function placeRows(from: i32, to: i32): void {
  const scale = perDegree();
  for (let i = <usize>from; i < <usize>to; i++) {
    const lat = latOf(<i32>i);
    const lon = lonOf(<i32>i);
    if (!(Math.abs(lat) < 90 - POLE && Math.abs(lon) < 180 - MERIDIAN)) {
      store<i32>(cellOf + (i << 2), NONE);
      continue;
    }
    const north = <i32>Math.floor(lat * scale);
    const east = <i32>Math.floor(lon * perDegreeEast(north));
    store<i32>(norths + (i << 2), north);
    store<i32>(cellOf + (i << 2), east);
    if (!hasPlaces) {
      south = top = north;
      west = last = east;
      hasPlaces = true;
    }
    south = min(south, north);
    top = max(top, north);
    west = min(west, east);
    last = max(last, east);
  }
}

/** False where the box is too large for a grid, or for the memory. */
export function makeGrid(): bool {
  if (hasPlaces) {
    width = last - west + 1;
    height = top - south + 1;
  }
  const cells = <f64>width * <f64>height;
  if (cells > Math.max(LEAST_GRID, GRID_PER_ROW * <f64>rows)) return false;
  return reserveGrid(<usize>width * <usize>height);
}

/** Marks the cells of rows in the grid, and keeps the place in it of each. */
export function markCells(from: i32, to: i32): void {
  for (let i = <usize>from; i < <usize>to; i++) {
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
}

/** Numbers the cells in which rows stand, from south to north and from west to east. False where there is no memory. */
export function numberCells(): bool {
  const end = grid + ((<usize>width * <usize>height) << 2);
  for (let at = grid; at < end; at += 4) if (load<i32>(at) !== 0) store<i32>(at, ++cellCount);
  if (!reserveCells(<usize>cellCount, <usize>height)) return false;
  describeCells();
  return true;
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

/** Number of the cell of each row, and how many rows each has. */
export function countRows(from: i32, to: i32): void {
  for (let i = <usize>from; i < <usize>to; i++) {
    const at = cellOf + (i << 2);
    const key = load<i32>(at);
    if (key < 0) continue;
    const cell = load<i32>(grid + ((<usize>key) << 2)) - 1;
    store<i32>(at, cell);
    const count = starts + ((<usize>cell) << 2);
    store<i32>(count, load<i32>(count) + 1);
  }
}

/** The end of each cell's rows: counted down to their start by `orderRows`. */
export function sumRows(): void {
  let sum: i32 = 0;
  for (let cell: usize = 0; cell <= <usize>cellCount; cell++) {
    sum += load<i32>(starts + (cell << 2));
    store<i32>(starts + (cell << 2), sum);
  }
}

/** Puts rows in order of their cells: the last rows first. */
export function orderRows(from: i32, to: i32): void {
  for (let i = <usize>to; i-- > <usize>from; ) {
    const cell = load<i32>(cellOf + (i << 2));
    if (cell < 0) continue;
    const at = starts + ((<usize>cell) << 2);
    const place = load<i32>(at) - 1;
    store<i32>(at, place);
    store<i32>(order + ((<usize>place) << 2), <i32>i);
  }
}
