/** Columns of the memory, one behind the other: those of all rows of a survey first, then what is made of them, in bytes. */

/** Cells per degree of longitude by degree of latitude, from -90 to 90. */
export const PER_DEGREE_EAST: usize = 4096;
const LATITUDES: usize = 181;

export let rows: i32 = 0;

export let lats: usize = 0;
export let lons: usize = 0;
export let depths: usize = 0;
export let weights: usize = 0;
export let passes: usize = 0;
/** Number of the cell of each row from the equator and from Greenwich; then, in place of the latter, the cell. */
export let norths: usize = 0;
export let cellOf: usize = 0;
export let spikes: usize = 0;

/** Of the cells. */
export let cellNorths: usize = 0;
export let cellEasts: usize = 0;
export let firsts: usize = 0;
export let starts: usize = 0;
export let order: usize = 0;
export let means: usize = 0;
/** A number for each cell of the box, where the table is made. */
export let grid: usize = 0;

let end: usize = 0;
let isFull: bool = false;

function take(bytes: usize): usize {
  const at = end;
  end = (end + bytes + 7) & ~7;
  return at;
}

/** False where there is no such memory. */
function reach(): bool {
  const pages = <i64>((end + 0xffff) >> 16) - <i64>memory.size();
  if (pages > 0 && memory.grow(<i32>pages) < 0) isFull = true;
  return !isFull;
}

/** Makes room for the columns of a survey. Once for each module: memory is empty in the beginning. */
export function begin(count: i32): bool {
  rows = count;
  end = PER_DEGREE_EAST + 8 * LATITUDES;
  const n = <usize>count;
  lats = take(8 * n);
  lons = take(8 * n);
  depths = take(4 * n);
  weights = take(4 * n);
  passes = take(4 * n);
  norths = take(4 * n);
  cellOf = take(4 * n);
  spikes = take(n);
  return reach();
}

/** Makes room for the grid of a box, and for as many cells as there can be at most. */
export function reserveGrid(size: usize): bool {
  grid = take(4 * size);
  return reach();
}

/** Makes room for the table of so many cells, in so many rows of cells. */
export function reserveCells(cells: usize, height: usize): bool {
  const n = <usize>rows;
  cellNorths = take(4 * cells);
  cellEasts = take(4 * cells);
  firsts = take(4 * (height + 1));
  starts = take(4 * (cells + 1));
  order = take(4 * n);
  return reach();
}

export function reserveMeans(bytes: usize): bool {
  means = take(bytes);
  return reach();
}

export function latOf(row: i32): f64 {
  return load<f64>(lats + ((<usize>row) << 3));
}

export function lonOf(row: i32): f64 {
  return load<f64>(lons + ((<usize>row) << 3));
}

export function depthOf(row: i32): f64 {
  return <f64>load<f32>(depths + ((<usize>row) << 2));
}

export function passOf(row: i32): i32 {
  return load<i32>(passes + ((<usize>row) << 2));
}
