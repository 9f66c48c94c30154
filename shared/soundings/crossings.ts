import type { Soundings } from '../contract/soundings.ts';
import { metersPerDegree, STRETCH, shortTurn } from './steps.ts';

/** A place where two passes cross: columns of equal length, one entry a crossing. */
export interface Crossings {
  readonly count: number;
  /** Row before the crossing on each of the two passes; the next row is after it. */
  readonly first: Int32Array;
  readonly second: Int32Array;
  /** Depth there on each pass, m. */
  readonly firstDepth: Float64Array;
  readonly secondDepth: Float64Array;
  /** Rate of deepening in time there on each pass, m/s; NaN without times. */
  readonly firstRate: Float64Array;
  readonly secondRate: Float64Array;
}

/** Side of the cells that pieces of passes are sorted into, m: some blocks long. */
const CELL = 10;
/** Longest piece between two rows of a pass, m. */
const LONGEST_PIECE = 25;
/** Pieces looked at, about; on larger surveys a fixed share of the cells stands for all. */
const MOST_PIECES = 30_000;
/** Rows on each side over which the rate of deepening is taken. */
const RATE_ROWS = 2;

type Rows = Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth' | 'time' | 'pass'>;

/**
 * Crossings of different passes, found exactly between neighboring rows (block means) of each.
 *
 * On surveys of more than some 30,000 rows only those in a fixed pattern of cells are looked at: still a fair
 * sample of the lake, and the same every time.
 */
export function findCrossings(survey: Rows): Crossings {
  const { lat, lon, depth, time, pass } = survey;
  const before = known.get(lat);
  const isSame = before?.lon === lon && before.pass === pass;
  if (isSame && before.depth === depth && before.time === time) return before.crossings;
  const meetings = isSame ? before.meetings : findMeetings(survey);
  const crossings = describe(survey, meetings);
  known.set(lat, { lon, depth, time, pass, meetings, crossings });
  return crossings;
}

interface Known extends Pick<Rows, 'lon' | 'depth' | 'time' | 'pass'> {
  readonly meetings: readonly Meeting[];
  readonly crossings: Crossings;
}

/** What was found for the columns of a survey, which nobody changes in place: several ask for the same. */
const known = new WeakMap<Float64Array, Known>();

function findMeetings(survey: Rows): Meeting[] {
  if (survey.count === 0) return [];
  const frame = frameOf(survey);
  const { starts, keys, piece } = sortIntoCells(survey, frame);
  const found: Meeting[] = [];
  for (let cell = 0; cell < keys.length; cell++)
    crossInCell(survey, frame, piece.subarray(starts[cell], starts[cell + 1]), keys[cell], found);
  return found;
}

/** Where two pieces meet: their first rows, and the share of each before the crossing. */
interface Meeting {
  readonly first: number;
  readonly second: number;
  readonly along: number;
  readonly across: number;
}

/** Adds all crossings of the pieces of a cell that lie in it: a piece stands in every cell it touches. */
function crossInCell(survey: Rows, frame: Frame, pieces: Int32Array, cell: number, found: Meeting[]): void {
  const { pass } = survey;
  const n = pieces.length;
  const places = new Float64Array(4 * n);
  for (let k = 0; k < n; k++) {
    const i = pieces[k];
    places[4 * k] = eastOf(survey, frame, i);
    places[4 * k + 1] = northOf(survey, frame, i);
    places[4 * k + 2] = eastOf(survey, frame, i + 1);
    places[4 * k + 3] = northOf(survey, frame, i + 1);
  }
  for (let a = 0; a < n; a++) {
    for (let b = a + 1; b < n; b++) {
      if (pass[pieces[a]] === pass[pieces[b]]) continue;
      const meet = meeting(places, 4 * a, 4 * b);
      if (meet === undefined) continue;
      const [along, across] = meet;
      const x = places[4 * a] + along * (places[4 * a + 2] - places[4 * a]);
      const y = places[4 * a + 1] + along * (places[4 * a + 3] - places[4 * a + 1]);
      if (cellKey(Math.floor(x / CELL), Math.floor(y / CELL)) === cell)
        found.push({ first: pieces[a], second: pieces[b], along, across });
    }
  }
}

/** Flat east-north meters about the first row of a survey: exact enough to tell what crosses what. */
interface Frame {
  readonly lat: number;
  readonly lon: number;
  readonly perLat: number;
  readonly perLon: number;
}

type Places = Pick<Soundings, 'count' | 'lat' | 'lon'>;

function frameOf({ lat, lon }: Places): Frame {
  const [perLat, perLon] = metersPerDegree(lat[0]);
  return { lat: lat[0], lon: lon[0], perLat, perLon };
}

const eastOf = ({ lon }: Places, frame: Frame, row: number): number =>
  shortTurn(lon[row] - frame.lon) * frame.perLon;
const northOf = ({ lat }: Places, frame: Frame, row: number): number => (lat[row] - frame.lat) * frame.perLat;

/** East and north of all rows in meters about the first, flat. */
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

/** One number for a cell: columns and rows up to 100,000 km either way. */
const cellKey = (column: number, row: number): number => (column + 2 ** 23) * 2 ** 24 + row + 2 ** 23;

/** Pieces of passes by the cells they touch: cells in order of their keys, the pieces of each in order of rows. */
interface CellPieces {
  readonly keys: Float64Array;
  /** Where the pieces of each cell begin in `piece`; one entry more than there are cells. */
  readonly starts: Int32Array;
  /** Row before the piece. */
  readonly piece: Int32Array;
}

function sortIntoCells(survey: Rows, frame: Frame): CellPieces {
  const share = Math.max(1, Math.ceil(survey.count / MOST_PIECES));
  const found: Touched = { keys: [], pieces: [] };
  for (let from = 0; from + 1 < survey.count; from += STRETCH)
    touchCells(survey, frame, share, found, from, Math.min(from + STRETCH, survey.count - 1));
  const keys = distinct(new Float64Array(found.keys).sort());
  const starts = new Int32Array(keys.length + 1);
  const cellOf = new Int32Array(found.keys.length);
  for (let k = 0; k < cellOf.length; k++) {
    cellOf[k] = placeOf(keys, found.keys[k]);
    starts[cellOf[k] + 1]++;
  }
  for (let cell = 0; cell < keys.length; cell++) starts[cell + 1] += starts[cell];
  const next = starts.slice();
  const piece = new Int32Array(cellOf.length);
  for (let k = 0; k < cellOf.length; k++) piece[next[cellOf[k]]++] = found.pieces[k];
  return { keys, starts, piece };
}

/** Sorted values, each once. */
function distinct(sorted: Float64Array): Float64Array {
  let count = 0;
  for (let k = 0; k < sorted.length; k++)
    if (k === 0 || sorted[k] !== sorted[k - 1]) sorted[count++] = sorted[k];
  return sorted.subarray(0, count);
}

/** Cells touched by pieces, with each the piece: lists of equal length, in order of the pieces. */
interface Touched {
  readonly keys: number[];
  readonly pieces: number[];
}

/** Finds the cells that the pieces after rows from one on up to another touch, the sampled ones only. */
function touchCells(
  survey: Rows,
  frame: Frame,
  share: number,
  found: Touched,
  from: number,
  to: number,
): void {
  const { pass } = survey;
  let x = eastOf(survey, frame, from);
  let y = northOf(survey, frame, from);
  // The last cell that was passed over: most pieces lie in that of the piece before.
  let emptyColumn = Number.NaN;
  let emptyRow = Number.NaN;
  for (let i = from; i < to; i++) {
    const fromX = x;
    const fromY = y;
    x = eastOf(survey, frame, i + 1);
    y = northOf(survey, frame, i + 1);
    if (pass[i] !== pass[i + 1]) continue;
    if (Math.abs(x - fromX) > LONGEST_PIECE || Math.abs(y - fromY) > LONGEST_PIECE) continue;
    const toEast = Math.floor(Math.max(fromX, x) / CELL);
    const toNorth = Math.floor(Math.max(fromY, y) / CELL);
    for (let column = Math.floor(Math.min(fromX, x) / CELL); column <= toEast; column++) {
      for (let row = Math.floor(Math.min(fromY, y) / CELL); row <= toNorth; row++) {
        if (column === emptyColumn && row === emptyRow) continue;
        if (share > 1 && !isSampled(column, row, share)) {
          emptyColumn = column;
          emptyRow = row;
          continue;
        }
        found.keys.push(cellKey(column, row));
        found.pieces.push(i);
      }
    }
  }
}

/** Place of a key in a sorted list that holds it. */
function placeOf(keys: Float64Array, key: number): number {
  let low = 0;
  let high = keys.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (keys[middle] < key) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** One cell in `share`, spread evenly by a multiplicative hash (Knuth's constant). */
function isSampled(column: number, row: number, share: number): boolean {
  const mixed = Math.imul(column, 0x9e3779b1) ^ Math.imul(row, 0x85ebca6b);
  return (Math.imul(mixed ^ (mixed >>> 15), 0x2c1b3c6d) >>> 8) % share === 0;
}

/**
 * Where two pieces cross, as shares of each; undefined when they do not.
 *
 * @param places East and north of the two ends of each piece. @param i Where the first begins. @param j The second.
 */
function meeting(places: Float64Array, i: number, j: number): [along: number, across: number] | undefined {
  const ax = places[i + 2] - places[i];
  const ay = places[i + 3] - places[i + 1];
  const bx = places[j + 2] - places[j];
  const by = places[j + 3] - places[j + 1];
  const cross = ax * by - ay * bx;
  if (cross === 0) return undefined;
  const dx = places[j] - places[i];
  const dy = places[j + 1] - places[i + 1];
  const along = (dx * by - dy * bx) / cross;
  const across = (dx * ay - dy * ax) / cross;
  return along >= 0 && along < 1 && across >= 0 && across < 1 ? [along, across] : undefined;
}

function describe(survey: Rows, found: readonly Meeting[]): Crossings {
  const { depth } = survey;
  const between = (row: number, share: number) => depth[row] + share * (depth[row + 1] - depth[row]);
  return {
    count: found.length,
    first: Int32Array.from(found, (c) => c.first),
    second: Int32Array.from(found, (c) => c.second),
    firstDepth: Float64Array.from(found, (c) => between(c.first, c.along)),
    secondDepth: Float64Array.from(found, (c) => between(c.second, c.across)),
    firstRate: Float64Array.from(found, (c) => rateOfDeepening(survey, c.first)),
    secondRate: Float64Array.from(found, (c) => rateOfDeepening(survey, c.second)),
  };
}

/** Rate of deepening in time about the piece after a row, from two rows on each side of the same pass, m/s. */
export function rateOfDeepening(survey: Rows, row: number): number {
  const { depth, time, pass } = survey;
  let from = row;
  let to = Math.min(row + 1, survey.count - 1);
  for (let k = 0; k < RATE_ROWS; k++) {
    if (from > 0 && pass[from - 1] === pass[row]) from--;
    if (to + 1 < survey.count && pass[to + 1] === pass[row]) to++;
  }
  // Straight line by least squares: noise of single blocks counts less than with the two ends alone.
  const n = to - from + 1;
  let meanTime = 0;
  let meanDepth = 0;
  for (let i = from; i <= to; i++) {
    meanTime += time[i] / n;
    meanDepth += depth[i] / n;
  }
  let moment = 0;
  let spread = 0;
  for (let i = from; i <= to; i++) {
    moment += (time[i] - meanTime) * (depth[i] - meanDepth);
    spread += (time[i] - meanTime) ** 2;
  }
  return spread > 0 ? moment / spread : Number.NaN;
}
