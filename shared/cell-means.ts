import { findSpikes } from './bottom/spikes.ts';
import type { CellMeans, Soundings } from './contract/soundings.ts';
import { distanceBetween, metersPerDegree } from './soundings/steps.ts';

/** Side of a cell, m. */
const SIDE = 8;
/** Passes closer than this on the mean, m, crowd a neighborhood: only there are cells an answer. */
const CROWDED_SPACING = 5;
/** Steps of a pass that count as track, m: shorter ones are a boat at rest, longer ones a gap. */
const LEAST_STEP = 2;
const LONGEST_STEP = 20;
/** Places nearer to a pole or to the 180th meridian, deg, have no cells: there rows are looked at one by one. */
const POLE = 5;
const MERIDIAN = 0.1;
/** Cells per degree of latitude; nearly `SIDE` meters everywhere. */
const PER_DEGREE = 111_195 / SIDE;
/** Soundings beyond which a row's mean scatters no less; see `noise.ts`. */
const INDEPENDENT = 4;

/** Means of all cells of a survey, as plain memory that threads share. */
export interface CellBuffers {
  readonly count: number;
  /** Cell number + 1 by hash, 0 where empty; a power of two long. */
  readonly slots: Int32Array;
  /** Number of the cell from the equator, and from the meridian of Greenwich. */
  readonly north: Int32Array;
  readonly east: Int32Array;
  /** deg; means. */
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  /** m; mean. */
  readonly depth: Float64Array;
  /** Soundings. */
  readonly weight: Float64Array;
  /** m of track that ends in the cell. */
  readonly track: Float64Array;
  /** Sum of second differences of depth along the passes, for one sounding, m, and how many there are. */
  readonly difference: Float64Array;
  readonly differences: Float64Array;
}

type Rows = Pick<Soundings, 'count' | 'lat' | 'lon'> & Partial<Soundings>;

/** Means over cells of 8 m of a whole survey, spikes left out: some 60 ms for a million rows, once. */
export function makeCells(survey: Rows): CellBuffers | undefined {
  const { count, lat, lon, depth, pass, weight } = survey;
  if (depth === undefined || pass === undefined || weight === undefined) return undefined;
  const spike = findSpikes({ count, depth, pass, east: lat, north: lon }, passRuns(pass, count));
  const cells = new GrowingCells();
  for (let i = 0; i < count; i++) {
    if (spike[i] === 1 || !isPlace(lat[i], lon[i]) || !(depth[i] < Number.POSITIVE_INFINITY)) continue;
    const cell = cells.at(northOf(lat[i]), eastOf(northOf(lat[i]), lon[i]));
    const w = weight[i];
    cells.sums[LAT][cell] += w * lat[i];
    cells.sums[LON][cell] += w * lon[i];
    cells.sums[DEPTH][cell] += w * depth[i];
    cells.sums[WEIGHT][cell] += w;
    if (i === 0 || pass[i - 1] !== pass[i]) continue;
    const step = distanceBetween(lat[i - 1], lon[i - 1], lat[i], lon[i]);
    if (step >= LEAST_STEP && step < LONGEST_STEP) cells.sums[TRACK][cell] += step;
    if (i + 1 === count || pass[i + 1] !== pass[i] || spike[i - 1] === 1 || spike[i + 1] === 1) continue;
    const scale = Math.sqrt(Math.min(w, INDEPENDENT));
    cells.sums[DIFFERENCE][cell] += Math.abs(depth[i - 1] - 2 * depth[i] + depth[i + 1]) * scale;
    cells.sums[DIFFERENCES][cell]++;
  }
  return cells.finish();
}

const northOf = (lat: number): number => Math.floor(lat * PER_DEGREE);

/** Number of the cell from Greenwich in a row of cells: each row is divided by its own latitude, in steps of a degree. */
function eastOf(north: number, lon: number): number {
  return Math.floor(lon * perDegreeEast(north));
}

const COSINES = Float64Array.from({ length: 181 }, (_, lat) => Math.cos(((lat - 90) * Math.PI) / 180));
const perDegreeEast = (north: number): number => PER_DEGREE * COSINES[Math.round(north / PER_DEGREE) + 90];

const isPlace = (lat: number, lon: number): boolean =>
  Math.abs(lat) < 90 - POLE && Math.abs(lon) < 180 - MERIDIAN;

/** Rows of each pass: `[start, end)`. */
function passRuns(pass: Int32Array, count: number): [start: number, end: number][] {
  const runs: [number, number][] = [];
  let start = 0;
  for (let i = 1; i <= count; i++) {
    if (i < count && pass[i] === pass[i - 1]) continue;
    if (i > start) runs.push([start, i]);
    start = i;
  }
  return runs;
}

const LAT = 0;
const LON = 1;
const DEPTH = 2;
const WEIGHT = 3;
const TRACK = 4;
const DIFFERENCE = 5;
const DIFFERENCES = 6;
const SUMS = 7;

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

/** Sums by cell in a table that grows. */
class GrowingCells {
  count = 0;
  sums = Array.from({ length: SUMS }, () => new Float64Array(1024));
  private slots = new Int32Array(4096);
  private north = new Int32Array(1024);
  private east = new Int32Array(1024);
  private last = 0;

  /** Number of a cell; rows next to each other are mostly in one. */
  at(north: number, east: number): number {
    if (this.count > 0 && this.north[this.last] === north && this.east[this.last] === east) return this.last;
    const slot = slotOf(this.slots, this.north, this.east, north, east);
    if (this.slots[slot] !== 0) {
      this.last = this.slots[slot] - 1;
      return this.last;
    }
    const cell = this.count++;
    this.last = cell;
    if (cell === this.north.length) this.grow();
    this.north[cell] = north;
    this.east[cell] = east;
    this.slots[slotOf(this.slots, this.north, this.east, north, east)] = cell + 1;
    return cell;
  }

  private grow(): void {
    const size = 2 * this.north.length;
    const longer = <T extends Float64Array | Int32Array>(column: T, into: T): T => {
      into.set(column);
      return into;
    };
    this.north = longer(this.north, new Int32Array(size));
    this.east = longer(this.east, new Int32Array(size));
    this.sums = this.sums.map((column) => longer(column, new Float64Array(size)));
    this.slots = new Int32Array(4 * size);
    for (let cell = 0; cell < this.count - 1; cell++) {
      const slot = slotOf(this.slots, this.north, this.east, this.north[cell], this.east[cell]);
      this.slots[slot] = cell + 1;
    }
  }

  finish(): CellBuffers {
    const shared = (column: Float64Array): Float64Array => {
      const out = new Float64Array(new SharedArrayBuffer(8 * this.count));
      out.set(column.subarray(0, this.count));
      return out;
    };
    const sharedInts = (column: Int32Array): Int32Array => {
      const out = new Int32Array(new SharedArrayBuffer(4 * column.length));
      out.set(column);
      return out;
    };
    const weight = this.sums[WEIGHT];
    const mean = (sum: Float64Array): Float64Array => shared(sum.map((value, cell) => value / weight[cell]));
    return {
      count: this.count,
      slots: sharedInts(this.slots),
      north: sharedInts(this.north.subarray(0, this.count)),
      east: sharedInts(this.east.subarray(0, this.count)),
      lat: mean(this.sums[LAT]),
      lon: mean(this.sums[LON]),
      depth: mean(this.sums[DEPTH]),
      weight: shared(weight),
      track: shared(this.sums[TRACK]),
      difference: shared(this.sums[DIFFERENCE]),
      differences: shared(this.sums[DIFFERENCES]),
    };
  }
}

/**
 * Cells with their middle within `radius` meters of a place, from west to east and south to north.
 *
 * @returns undefined where passes do not crowd: a cell must then not stand for its passes.
 */
export function crowdedCells(
  cells: CellBuffers | undefined,
  lat: number,
  lon: number,
  radius: number,
): CellMeans | undefined {
  if (cells === undefined || !isPlace(lat, lon)) return undefined;
  const [perLat, perLon] = metersPerDegree(lat);
  const found: number[] = [];
  let track = 0;
  const top = northOf(lat + radius / perLat);
  for (let north = northOf(lat - radius / perLat); north <= top; north++) {
    const middle = ((north + 0.5) / PER_DEGREE - lat) * perLat;
    const half = Math.sqrt(radius * radius - middle * middle);
    if (!(half > 0)) continue;
    const last = eastOf(north, lon + half / perLon);
    for (let east = eastOf(north, lon - half / perLon); east <= last; east++) {
      const cell = cells.slots[slotOf(cells.slots, cells.north, cells.east, north, east)] - 1;
      if (cell < 0) continue;
      found.push(cell);
      track += cells.track[cell];
    }
  }
  if (track * CROWDED_SPACING < Math.PI * radius * radius) return undefined;
  const take = (column: Float64Array): Float64Array => {
    const out = new Float64Array(found.length);
    for (let i = 0; i < out.length; i++) out[i] = column[found[i]];
    return out;
  };
  return {
    count: found.length,
    side: SIDE,
    north: Int32Array.from(found, (cell) => cells.north[cell]),
    east: Int32Array.from(found, (cell) => cells.east[cell]),
    lat: take(cells.lat),
    lon: take(cells.lon),
    depth: take(cells.depth),
    weight: take(cells.weight),
    track: take(cells.track),
    difference: take(cells.difference),
    differences: take(cells.differences),
  };
}
