import type { Soundings } from '../contract/index.ts';
import { metersPerDegree } from '../geo/index.ts';
import { STRETCH, shortTurn } from './steps.ts';

/** Where pieces of two passes meet. Lists of equal length. */
export interface Meetings {
  /** Row that each piece begins at; a piece runs from one row to the next. */
  readonly first: ArrayLike<number>;
  readonly second: ArrayLike<number>;
  /** Position of the meeting along each piece, 0 at its start to 1 at its end. */
  readonly along: ArrayLike<number>;
  readonly across: ArrayLike<number>;
}

/** Meetings under construction, as growing lists. */
export type MeetingLists = { readonly [name in keyof Meetings]: number[] };

/** Side of the cells that pieces of passes are sorted into, m: several blocks long. */
const CELL = 10;
/** Longest piece that counts as track, m; a longer one is a gap. */
const LONGEST_PIECE = 25;
/** Approximate number of pieces checked; on larger surveys a fixed share of the cells is sampled. */
const MAX_PIECES = 30_000;
/** Number of hash buckets that cells are sorted into. */
const BUCKETS = 2 ** 15;

type Places = Pick<Soundings, 'count' | 'lat' | 'lon'>;
type PassRows = Places & Pick<Soundings, 'pass'>;

/** Where pieces of different passes meet in the sampled cells, in a deterministic order. */
export function findMeetings(survey: PassRows): MeetingLists {
  const found: MeetingLists = { first: [], second: [], along: [], across: [] };
  if (survey.count === 0) return found;
  const pieces = sortIntoBuckets(survey);
  for (let bucket = 0; bucket < BUCKETS; bucket++)
    for (let a = pieces.starts[bucket]; a < pieces.starts[bucket + 1]; a++)
      meetPiece(pieces, a, pieces.starts[bucket + 1], found);
  return found;
}

/** Flat east-north frame in meters around the first row of a survey, accurate enough to find crossings. */
interface Frame {
  readonly lat: number;
  readonly lon: number;
  readonly perLat: number;
  readonly perLon: number;
}

function frameOf({ lat, lon }: Places): Frame {
  const [perLat, perLon] = metersPerDegree(lat[0]);
  return { lat: lat[0], lon: lon[0], perLat, perLon };
}

const eastOf = ({ lon }: Places, frame: Frame, row: number): number =>
  shortTurn(lon[row] - frame.lon) * frame.perLon;
const northOf = ({ lat }: Places, frame: Frame, row: number): number => (lat[row] - frame.lat) * frame.perLat;

/** East and north of all rows relative to the first, m, on a flat frame. */
export function flatten(survey: Places): { east: Float64Array; north: Float64Array } {
  const { count } = survey;
  const east = new Float64Array(count);
  const north = new Float64Array(count);
  if (count === 0) return { east, north };
  const frame = frameOf(survey);
  for (let i = 0; i < count; i++) {
    east[i] = eastOf(survey, frame, i);
    north[i] = northOf(survey, frame, i);
  }
  return { east, north };
}

/** One cell in this many is sampled. */
const shareOf = ({ count }: PassRows): number => Math.ceil(count / MAX_PIECES);

/**
 * Pieces of passes, once for each sampled cell they touch, grouped by bucket and in row order within a
 * bucket.
 */
interface Pieces {
  /** Where the pieces of each bucket begin in the columns below; one more entry than there are buckets. */
  readonly starts: Int32Array;
  /** Row that the piece begins at, and its pass. */
  readonly row: Int32Array;
  readonly pass: Int32Array;
  /** Column and row of the cell. */
  readonly column: Int32Array;
  readonly cellRow: Int32Array;
  /** East and north of the two ends of each piece, m. */
  readonly places: Float64Array;
}

function sortIntoBuckets(survey: PassRows): Pieces {
  const frame = frameOf(survey);
  const share = shareOf(survey);
  const found: Touched = { rows: [], columns: [], cellRows: [] };
  for (let from = 0; from + 1 < survey.count; from += STRETCH)
    touchCells(survey, frame, share, found, from, Math.min(from + STRETCH, survey.count - 1));
  const count = found.rows.length;
  const bucketOf = (k: number) =>
    Math.floor(mixCell(found.columns[k], found.cellRows[k]) / share) & (BUCKETS - 1);
  const starts = new Int32Array(BUCKETS + 1);
  for (let k = 0; k < count; k++) starts[bucketOf(k) + 1]++;
  for (let bucket = 0; bucket < BUCKETS; bucket++) starts[bucket + 1] += starts[bucket];
  const row = new Int32Array(count);
  const column = new Int32Array(count);
  const cellRow = new Int32Array(count);
  const next = starts.slice();
  for (let k = 0; k < count; k++) {
    const at = next[bucketOf(k)]++;
    row[at] = found.rows[k];
    column[at] = found.columns[k];
    cellRow[at] = found.cellRows[k];
  }
  return {
    starts,
    row,
    column,
    cellRow,
    pass: row.map((i) => survey.pass[i]),
    places: endsOf(survey, frame, row),
  };
}

/** East and north of both ends of the pieces that begin at the given rows, m. */
function endsOf(survey: PassRows, frame: Frame, rows: Int32Array): Float64Array {
  const places = new Float64Array(4 * rows.length);
  for (let at = 0; at < rows.length; at++) {
    places[4 * at] = eastOf(survey, frame, rows[at]);
    places[4 * at + 1] = northOf(survey, frame, rows[at]);
    places[4 * at + 2] = eastOf(survey, frame, rows[at] + 1);
    places[4 * at + 3] = northOf(survey, frame, rows[at] + 1);
  }
  return places;
}

/** Pieces, by the row each begins at, and the sampled cells they touch: lists of equal length. */
interface Touched {
  readonly rows: number[];
  readonly columns: number[];
  readonly cellRows: number[];
}

/** Finds the sampled cells touched by the pieces that begin at rows `[from, to)`. */
function touchCells(
  survey: PassRows,
  frame: Frame,
  share: number,
  found: Touched,
  from: number,
  to: number,
): void {
  const { pass } = survey;
  let x = eastOf(survey, frame, from);
  let y = northOf(survey, frame, from);
  let column = Math.floor(x / CELL);
  let row = Math.floor(y / CELL);
  let isEmpty = !isSampled(column, row, share);
  for (let i = from; i < to; i++) {
    const fromX = x;
    const fromY = y;
    const fromColumn = column;
    const fromRow = row;
    x = eastOf(survey, frame, i + 1);
    y = northOf(survey, frame, i + 1);
    column = Math.floor(x / CELL);
    row = Math.floor(y / CELL);
    // Most pieces are in one cell, and most cells are not sampled.
    const isWithin = column === fromColumn && row === fromRow;
    if (isWithin && isEmpty) continue;
    if (!isWithin) isEmpty = !isSampled(column, row, share);
    if (pass[i] !== pass[i + 1]) continue;
    if (Math.abs(x - fromX) > LONGEST_PIECE || Math.abs(y - fromY) > LONGEST_PIECE) continue;
    for (let c = Math.min(fromColumn, column); c <= Math.max(fromColumn, column); c++) {
      for (let r = Math.min(fromRow, row); r <= Math.max(fromRow, row); r++) {
        if (!isSampled(c, r, share)) continue;
        found.rows.push(i);
        found.columns.push(c);
        found.cellRows.push(r);
      }
    }
  }
}

/** A 24-bit number for a cell, spread evenly by a multiplicative hash (Knuth's constant). */
export function mixCell(column: number, row: number): number {
  const mixed = Math.imul(column, 0x9e3779b1) ^ Math.imul(row, 0x85ebca6b);
  return Math.imul(mixed ^ (mixed >>> 15), 0x2c1b3c6d) >>> 8;
}

const isSampled = (column: number, row: number, share: number): boolean => mixCell(column, row) % share === 0;

/**
 * Cell of a meeting along one axis, limited to those that both pieces touch: rounding may put a meeting on a
 * border into the cell beyond.
 */
function sharedCell(at: number, fromA: number, toA: number, fromB: number, toB: number): number {
  const first = Math.max(Math.min(fromA, toA), Math.min(fromB, toB));
  const last = Math.min(Math.max(fromA, toA), Math.max(fromB, toB));
  return Math.max(Math.floor(first / CELL), Math.min(Math.floor(at / CELL), Math.floor(last / CELL)));
}

/**
 * Finds where a piece meets those after it in its bucket. A piece is listed in every cell it touches, so a
 * meeting counts only in the cell that contains it.
 */
function meetPiece(
  { row, pass, column, cellRow, places }: Pieces,
  a: number,
  end: number,
  found: MeetingLists,
): void {
  const x = places[4 * a];
  const y = places[4 * a + 1];
  const ax = places[4 * a + 2] - x;
  const ay = places[4 * a + 3] - y;
  for (let b = a + 1; b < end; b++) {
    if (pass[b] === pass[a] || column[b] !== column[a] || cellRow[b] !== cellRow[a]) continue;
    const bx = places[4 * b + 2] - places[4 * b];
    const by = places[4 * b + 3] - places[4 * b + 1];
    const dx = places[4 * b] - x;
    const dy = places[4 * b + 1] - y;
    const cross = ax * by - ay * bx;
    // Infinite or NaN where the pieces are parallel.
    const along = (dx * by - dy * bx) / cross;
    const across = (dx * ay - dy * ax) / cross;
    if (!(along >= 0 && along < 1 && across >= 0 && across < 1)) continue;
    if (
      sharedCell(x + along * ax, x, places[4 * a + 2], places[4 * b], places[4 * b + 2]) !== column[a] ||
      sharedCell(y + along * ay, y, places[4 * a + 3], places[4 * b + 1], places[4 * b + 3]) !== cellRow[a]
    )
      continue;
    found.first.push(row[a]);
    found.second.push(row[b]);
    found.along.push(along);
    found.across.push(across);
  }
}
