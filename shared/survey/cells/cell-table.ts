import type { Soundings } from '../../contract/index.ts';
import { MEAN_METERS_PER_DEGREE } from '../../geo/index.ts';
import { sharedMemory } from '../../math/index.ts';

/** Side of a cell, m. */
export const SIDE = 8;
/**
 * Places within this many degrees of a pole or the 180th meridian are in no cell; rows there are checked one
 * by one.
 */
const POLE = 5;
const MERIDIAN = 0.1;
/** Cells per degree of latitude; nearly `SIDE` meters everywhere. */
const PER_DEGREE = MEAN_METERS_PER_DEGREE / SIDE;

/**
 * Rows of a survey by square cell, in memory that threads share.
 *
 * Cells are numbered from south to north and from west to east, so neighbors are close in memory.
 */
export interface CellTable {
  readonly count: number;
  /** Number of the southernmost row of cells, counted from the equator. */
  readonly south: number;
  /** First cell of each row of cells; one more entry than there are rows of cells. */
  readonly firsts: Int32Array;
  /** Row number of each cell counted from the equator, and its number in that row counted from Greenwich. */
  readonly north: Int32Array;
  readonly east: Int32Array;
  /**
   * Survey rows sorted by cell, and where each cell's rows begin in that list; one more entry than there are
   * cells.
   */
  readonly rows: Int32Array;
  readonly starts: Int32Array;
}

/** Number of the row of cells, counted from the equator. */
export const northOf = (lat: number): number => Math.floor(lat * PER_DEGREE);

/**
 * Number of the cell in its row, counted from Greenwich. The width of cells in degrees follows the latitude
 * of the row, in steps of one degree.
 */
export function eastOf(north: number, lon: number): number {
  return Math.floor(lon * perDegreeEast(north));
}

/** Cells per degree of longitude, for each degree of latitude from -90 to 90. */
const DEGREES_EAST = Float64Array.from(
  { length: 181 },
  (_, lat) => PER_DEGREE * Math.cos(((lat - 90) * Math.PI) / 180),
);
export const perDegreeEast = (north: number): number => DEGREES_EAST[Math.round(north / PER_DEGREE) + 90];

/** True where places are assigned to cells: away from the poles and the 180th meridian. */
export const isPlace = (lat: number, lon: number): boolean =>
  Math.abs(lat) < 90 - POLE && Math.abs(lon) < 180 - MERIDIAN;

/** Latitude of the middle of a row of cells relative to a place, deg, positive north. */
export const middleOf = (north: number, lat: number): number => (north + 0.5) / PER_DEGREE - lat;

/**
 * The table of cells, and the cell of each row (-1 for a row in no cell). Takes some 100 ms for a
 * million rows.
 */
export function tableOf(places: Pick<Soundings, 'count' | 'lat' | 'lon'>): {
  table: CellTable;
  cellOf: Int32Array;
} {
  const box = boxOf(places);
  const keys = keysOf(places, box);
  // Neighboring rows are mostly in one cell.
  const entered = keys.filter((key, i) => key >= 0 && key !== keys[i - 1]).sort();
  const cells = entered.filter((key, i) => key !== entered[i - 1]);
  const cellOf = new Int32Array(keys.length).fill(-1);
  for (let i = 0; i < keys.length; i++)
    if (keys[i] >= 0)
      cellOf[i] = keys[i] === keys[i - 1] ? cellOf[i - 1] : lowerBound(cells, 0, cells.length, keys[i]);
  return { table: { ...cellsAt(cells, box), ...rowsByCell(cellOf, cells.length) }, cellOf };
}

/** Bounding box of the occupied cells, in cells; empty when there are no rows. */
interface Box {
  readonly south: number;
  readonly west: number;
  readonly width: number;
  readonly height: number;
}

function boxOf({ count, lat, lon }: Pick<Soundings, 'count' | 'lat' | 'lon'>): Box {
  let [south, top, west, last] = [0, -1, 0, -1];
  for (let i = 0; i < count; i++) {
    if (!isPlace(lat[i], lon[i])) continue;
    const north = northOf(lat[i]);
    const east = eastOf(north, lon[i]);
    if (top < south) [south, top, west, last] = [north, north, east, east];
    if (north < south) south = north;
    if (north > top) top = north;
    if (east < west) west = east;
    if (east > last) last = east;
  }
  return { south, west, width: last - west + 1, height: top - south + 1 };
}

/**
 * Row-major number of each row's cell in the bounding box; -1 for none. Exact in a double: a box has under
 * 2^44 cells.
 */
function keysOf(
  { count, lat, lon }: Pick<Soundings, 'count' | 'lat' | 'lon'>,
  { south, west, width }: Box,
): Float64Array {
  const keys = new Float64Array(count).fill(-1);
  for (let i = 0; i < count; i++) {
    if (!isPlace(lat[i], lon[i])) continue;
    const north = northOf(lat[i]);
    keys[i] = (north - south) * width + eastOf(north, lon[i]) - west;
  }
  return keys;
}

/** Position of each cell, and the first cell of each row of cells. */
function cellsAt(
  cells: Float64Array,
  { south, west, width, height }: Box,
): Omit<CellTable, 'rows' | 'starts'> {
  const count = cells.length;
  const out = { north: sharedInts(count), east: sharedInts(count), firsts: sharedInts(height + 1) };
  for (let cell = 0; cell < count; cell++) {
    const row = Math.floor(cells[cell] / width);
    out.north[cell] = south + row;
    out.east[cell] = west + cells[cell] - row * width;
    out.firsts[row + 1]++;
  }
  for (let row = 0; row < height; row++) out.firsts[row + 1] += out.firsts[row];
  return { count, south, ...out };
}

/** Survey rows sorted by cell (a counting sort). */
function rowsByCell(cellOf: Int32Array, count: number): Pick<CellTable, 'rows' | 'starts'> {
  const starts = sharedInts(count + 1);
  for (let i = 0; i < cellOf.length; i++) if (cellOf[i] >= 0) starts[cellOf[i] + 1]++;
  for (let cell = 0; cell < count; cell++) starts[cell + 1] += starts[cell];
  const next = starts.slice();
  const rows = sharedInts(starts[count]);
  for (let i = 0; i < cellOf.length; i++) if (cellOf[i] >= 0) rows[next[cellOf[i]]++] = i;
  return { rows, starts };
}

/** Range `[from, to)` of the cells from `west` to `east`, both included, in one row of cells. */
export function cellsOfRow(
  { firsts, south, east: easts }: CellTable,
  north: number,
  west: number,
  east: number,
): [from: number, to: number] {
  const row = north - south;
  if (row < 0 || row + 1 >= firsts.length) return [0, 0];
  const from = lowerBound(easts, firsts[row], firsts[row + 1], west);
  return [from, lowerBound(easts, from, firsts[row + 1], east + 1)];
}

/** First index in `[from, to)` whose entry is not less than `value`; `to` if there is none. */
function lowerBound(sorted: Int32Array | Float64Array, from: number, to: number, value: number): number {
  let low = from;
  let high = to;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (sorted[middle] < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

const sharedInts = (length: number): Int32Array => new Int32Array(sharedMemory(4 * length));
