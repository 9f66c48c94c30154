import type { Soundings } from './contract/soundings.ts';

/** Side of a cell, m. */
export const SIDE = 8;
/** Places nearer to a pole or to the 180th meridian, deg, stand in no cell: rows are looked at one by one there. */
const POLE = 5;
const MERIDIAN = 0.1;
/** Cells per degree of latitude; nearly `SIDE` meters everywhere. */
const PER_DEGREE = 111_195 / SIDE;

/**
 * Which rows of a survey stand in which square cell, as plain memory that threads share.
 *
 * Cells are numbered from south to north and in a row of cells from west to east: neighbors stand close in memory.
 */
export interface CellTable {
  /** Cells. */
  readonly count: number;
  /** Number of the southernmost row of cells from the equator. */
  readonly south: number;
  /** First cell of each row of cells; one entry more than there are rows of cells. */
  readonly firsts: Int32Array;
  /** Number of the cell from the equator, and from the meridian of Greenwich. */
  readonly north: Int32Array;
  readonly east: Int32Array;
  /** Rows in order of their cells, and where each cell's begin; one entry more than there are cells. */
  readonly rows: Int32Array;
  readonly starts: Int32Array;
}

/** Number of the row of cells from the equator. */
export const northOf = (lat: number): number => Math.floor(lat * PER_DEGREE);

/** Number of the cell from Greenwich in a row of cells: each row is divided by its own latitude, in steps of a degree. */
export function eastOf(north: number, lon: number): number {
  return Math.floor(lon * perDegreeEast(north));
}

const COSINES = Float64Array.from({ length: 181 }, (_, lat) => Math.cos(((lat - 90) * Math.PI) / 180));
export const perDegreeEast = (north: number): number =>
  PER_DEGREE * COSINES[Math.round(north / PER_DEGREE) + 90];

/** True where places stand in cells. */
export const isPlace = (lat: number, lon: number): boolean =>
  Math.abs(lat) < 90 - POLE && Math.abs(lon) < 180 - MERIDIAN;

/** Degrees north of a place of the middle of a row of cells. */
export const middleOf = (north: number, lat: number): number => (north + 0.5) / PER_DEGREE - lat;

/** Cell of each row, -1 for a row that stands in none, and the table of cells: some 50 ms for a million rows. */
export function tableOf({ count, lat, lon }: Pick<Soundings, 'count' | 'lat' | 'lon'>): {
  table: CellTable;
  cellOf: Int32Array;
} {
  const cells = new GrowingCells();
  const cellOf = new Int32Array(count).fill(-1);
  let placed = 0;
  for (let i = 0; i < count; i++) {
    if (!isPlace(lat[i], lon[i])) continue;
    const north = northOf(lat[i]);
    cellOf[i] = cells.at(north, eastOf(north, lon[i]));
    placed++;
  }
  const { rank, ...sorted } = cells.inOrder();
  for (let i = 0; i < count; i++) if (cellOf[i] >= 0) cellOf[i] = rank[cellOf[i]];
  const starts = sharedInts(cells.count + 1);
  for (let i = 0; i < count; i++) if (cellOf[i] >= 0) starts[cellOf[i] + 1]++;
  for (let cell = 0; cell < cells.count; cell++) starts[cell + 1] += starts[cell];
  const next = starts.slice();
  const rows = sharedInts(placed);
  for (let i = 0; i < count; i++) if (cellOf[i] >= 0) rows[next[cellOf[i]]++] = i;
  return { table: { ...sorted, rows, starts }, cellOf };
}

/** Cells of one row of cells from `west` to `east`, both included, as `[from, to)`. */
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

/** First place in `[from, to)` whose value is not less; `to` if there is none. */
function lowerBound(sorted: Int32Array, from: number, to: number, value: number): number {
  let low = from;
  let high = to;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (sorted[middle] < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

const sharedInts = (length: number): Int32Array => new Int32Array(new SharedArrayBuffer(4 * length));

const hashOf = (north: number, east: number): number => {
  const mixed = Math.imul(north, 0x9e3779b1) ^ Math.imul(east, 0x85ebca6b);
  return mixed ^ (mixed >>> 15);
};

/** Place of a cell in the table, or of the empty slot where it would stand. */
function slotOf(
  slots: Int32Array,
  norths: Int32Array,
  easts: Int32Array,
  north: number,
  east: number,
): number {
  const mask = slots.length - 1;
  let slot = hashOf(north, east) & mask;
  while (slots[slot] !== 0 && (norths[slots[slot] - 1] !== north || easts[slots[slot] - 1] !== east))
    slot = (slot + 1) & mask;
  return slot;
}

/** Numbers cells in a table that grows. */
class GrowingCells {
  count = 0;
  private slots = new Int32Array(4096);
  private north: Int32Array = new Int32Array(2048);
  private east: Int32Array = new Int32Array(2048);
  private last = 0;

  /** Number of a cell; rows next to each other are mostly in one. */
  at(north: number, east: number): number {
    if (this.count > 0 && this.north[this.last] === north && this.east[this.last] === east) return this.last;
    const slot = slotOf(this.slots, this.north, this.east, north, east);
    if (this.slots[slot] === 0) this.add(slot, north, east);
    this.last = this.slots[slot] - 1;
    if (4 * this.count > this.slots.length) this.grow();
    return this.last;
  }

  private add(slot: number, north: number, east: number): void {
    this.north[this.count] = north;
    this.east[this.count] = east;
    this.slots[slot] = ++this.count;
  }

  private grow(): void {
    const longer = (column: Int32Array): Int32Array => {
      const out = new Int32Array(2 * column.length);
      out.set(column);
      return out;
    };
    this.north = longer(this.north);
    this.east = longer(this.east);
    this.slots = new Int32Array(2 * this.slots.length);
    for (let cell = 0; cell < this.count; cell++) {
      const slot = slotOf(this.slots, this.north, this.east, this.north[cell], this.east[cell]);
      this.slots[slot] = cell + 1;
    }
  }

  /** The cells from south to north and from west to east, and the number that each has there. */
  inOrder(): Omit<CellTable, 'rows' | 'starts'> & { readonly rank: Int32Array } {
    const { count } = this;
    const north = this.north.subarray(0, count);
    const east = this.east.subarray(0, count);
    const [south, top] = extent(north);
    const [west] = extent(east);
    const firsts = sharedInts(count === 0 ? 1 : top - south + 2);
    for (let cell = 0; cell < count; cell++) firsts[north[cell] - south + 1]++;
    for (let row = 1; row < firsts.length; row++) firsts[row] += firsts[row - 1];
    // East and number in one: both together stay exact, as there are under 2^23 cells round the Earth.
    const keys = new Float64Array(count);
    const next = firsts.slice();
    for (let cell = 0; cell < count; cell++)
      keys[next[north[cell] - south]++] = (east[cell] - west) * count + cell;
    for (let row = 1; row < firsts.length; row++) keys.subarray(firsts[row - 1], firsts[row]).sort();
    const rank = new Int32Array(count);
    const out = { count, south, firsts, north: sharedInts(count), east: sharedInts(count), rank };
    for (let k = 0; k < count; k++) {
      const cell = keys[k] % count;
      rank[cell] = k;
      out.north[k] = north[cell];
      out.east[k] = east[cell];
    }
    return out;
  }
}

/** Least and greatest value; `[0, 0]` of none. */
function extent(values: Int32Array): [least: number, greatest: number] {
  if (values.length === 0) return [0, 0];
  let least = values[0];
  let greatest = values[0];
  for (const value of values) {
    if (value < least) least = value;
    if (value > greatest) greatest = value;
  }
  return [least, greatest];
}
