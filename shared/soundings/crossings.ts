import type { Soundings } from '../contract/soundings.ts';
import { metersPerDegree } from './steps.ts';

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
  const { east, north } = flatten(survey);
  const cells = sortIntoCells(survey, east, north);
  const found: { first: number; second: number; along: number; across: number }[] = [];
  let start = 0;
  const { key, piece } = cells;
  for (let end = 1; end <= key.length; end++) {
    if (end < key.length && key[end] === key[start]) continue;
    crossInCell(start, end, key[start]);
    start = end;
  }
  return describe(survey, found);

  /** All crossings of the pieces `piece[from..to)` that lie in their cell. */
  function crossInCell(from: number, to: number, cell: number): void {
    for (let a = from; a < to; a++) {
      for (let b = a + 1; b < to; b++) {
        const i = Math.min(piece[a], piece[b]);
        const j = Math.max(piece[a], piece[b]);
        if (survey.pass[i] === survey.pass[j]) continue;
        const meet = meeting(east, north, i, j);
        if (meet === undefined) continue;
        const x = east[i] + meet.along * (east[i + 1] - east[i]);
        const y = north[i] + meet.along * (north[i + 1] - north[i]);
        // A piece stands in every cell it touches; the crossing belongs to one.
        if (cellKey(Math.floor(x / CELL), Math.floor(y / CELL)) === cell)
          found.push({ first: i, second: j, ...meet });
      }
    }
  }
}

/** East and north in meters about the first row, flat: exact enough to tell what crosses what. */
export function flatten(survey: Pick<Soundings, 'count' | 'lat' | 'lon'>): {
  east: Float64Array;
  north: Float64Array;
} {
  const { count, lat, lon } = survey;
  const east = new Float64Array(count);
  const north = new Float64Array(count);
  if (count === 0) return { east, north };
  const [perLat, perLon] = metersPerDegree(lat[0]);
  for (let i = 0; i < count; i++) {
    let turn = lon[i] - lon[0];
    if (turn > 180) turn -= 360;
    else if (turn < -180) turn += 360;
    east[i] = turn * perLon;
    north[i] = (lat[i] - lat[0]) * perLat;
  }
  return { east, north };
}

/** One number for a cell: columns and rows up to 100,000 km either way. */
const cellKey = (column: number, row: number): number => (column + 2 ** 23) * 2 ** 24 + row + 2 ** 23;

/** Pieces of passes (row i to i + 1) by the cells they touch, sorted by cell, then row. */
function sortIntoCells(
  survey: Rows,
  east: Float64Array,
  north: Float64Array,
): { key: Float64Array; piece: Int32Array } {
  const share = Math.max(1, Math.ceil(survey.count / MOST_PIECES));
  const entries: { key: number; piece: number }[] = [];
  for (let i = 0; i + 1 < survey.count; i++) {
    if (survey.pass[i] !== survey.pass[i + 1]) continue;
    if (Math.abs(east[i + 1] - east[i]) > LONGEST_PIECE || Math.abs(north[i + 1] - north[i]) > LONGEST_PIECE)
      continue;
    const west = Math.floor(Math.min(east[i], east[i + 1]) / CELL);
    const toEast = Math.floor(Math.max(east[i], east[i + 1]) / CELL);
    const south = Math.floor(Math.min(north[i], north[i + 1]) / CELL);
    const toNorth = Math.floor(Math.max(north[i], north[i + 1]) / CELL);
    for (let column = west; column <= toEast; column++) {
      for (let row = south; row <= toNorth; row++) {
        if (share === 1 || isSampled(column, row, share))
          entries.push({ key: cellKey(column, row), piece: i });
      }
    }
  }
  entries.sort((a, b) => a.key - b.key || a.piece - b.piece);
  return {
    key: Float64Array.from(entries, (entry) => entry.key),
    piece: Int32Array.from(entries, (entry) => entry.piece),
  };
}

/** One cell in `share`, spread evenly by a multiplicative hash (Knuth's constant). */
function isSampled(column: number, row: number, share: number): boolean {
  const mixed = Math.imul(column, 0x9e3779b1) ^ Math.imul(row, 0x85ebca6b);
  return (Math.imul(mixed ^ (mixed >>> 15), 0x2c1b3c6d) >>> 8) % share === 0;
}

/** Where piece i crosses piece j, as shares of each; undefined when they do not. */
function meeting(
  east: Float64Array,
  north: Float64Array,
  i: number,
  j: number,
): { along: number; across: number } | undefined {
  const ax = east[i + 1] - east[i];
  const ay = north[i + 1] - north[i];
  const bx = east[j + 1] - east[j];
  const by = north[j + 1] - north[j];
  const cross = ax * by - ay * bx;
  if (cross === 0) return undefined;
  const dx = east[j] - east[i];
  const dy = north[j] - north[i];
  const along = (dx * by - dy * bx) / cross;
  const across = (dx * ay - dy * ax) / cross;
  return along >= 0 && along < 1 && across >= 0 && across < 1 ? { along, across } : undefined;
}

function describe(
  survey: Rows,
  found: readonly { first: number; second: number; along: number; across: number }[],
): Crossings {
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
