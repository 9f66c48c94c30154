import type { Soundings } from '../contract/soundings.ts';
import { medianOf } from '../math/median.ts';
import { findCrossings, rateOfDeepening } from './crossings.ts';
import { flatten, mixCell } from './meetings.ts';

/** One meeting, as an estimate of lag reads it: how much two passes disagree, against how fast the bottom changed in time under each. */
export interface Meeting {
  /** First less second depth, m. */
  readonly difference: number;
  /** Rates of deepening of the two passes, m/s, and their logs. */
  readonly firstRate: number;
  readonly secondRate: number;
  readonly firstLog: number;
  readonly secondLog: number;
  /** Passes whose errors it shares. */
  readonly firstPass: number;
  readonly secondPass: number;
  /** 0: crossing in a log, 1: a pass between two neighbors, 2 and on: crossing of two logs, a number for each pair. */
  readonly kind: number;
}

/** Fewest crossings of two logs that say anything beside the constant between them. */
const FEWEST_OF_PAIR = 20;
/** Neighboring passes are looked for up to this far, m. */
const NEIGHBOR = 60;
/** Passes closer than this are the same line run again, m; and the longest piece of a pass. */
const LEAST_ASIDE = 0.5;
const LONGEST_PIECE = 10;
/** Steps in which neighbors are looked for to either side, and side of the cells that rows lie in: a step and a half, m. */
const OUTWARD = 10;
const CELL = 15;
/** Buckets that cells are sorted into. */
const BUCKETS = 2 ** 16;
/** Meetings between neighboring passes taken, about. */
const MOST_NEIGHBORS = 6000;
/** Cosine between courses from which two passes run in opposite directions. */
const OPPOSITE = -0.8;
type Rows = Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth' | 'time' | 'pass'>;
export type LoggedRows = Rows & { readonly log: Int32Array };

/** Crossings whose rates are known. */
export function crossingMeetings(survey: LoggedRows): Meeting[] {
  const crossings = findCrossings(survey);
  const meetings: Meeting[] = [];
  for (let i = 0; i < crossings.count; i++) {
    const firstRate = crossings.firstRate[i];
    const secondRate = crossings.secondRate[i];
    if (Number.isNaN(firstRate - secondRate)) continue;
    const first = crossings.first[i];
    const second = crossings.second[i];
    const firstLog = survey.log[first];
    const secondLog = survey.log[second];
    meetings.push({
      difference: crossings.firstDepth[i] - crossings.secondDepth[i],
      firstRate,
      secondRate,
      firstLog,
      secondLog,
      firstPass: survey.pass[first],
      secondPass: survey.pass[second],
      kind: firstLog === secondLog ? 0 : 2,
    });
  }
  return meetings;
}

/**
 * Crossings of two logs without the constant between them (water level, draft): a lag shows in how differences go
 * with the rates. Each pair of logs is a kind of its own, so one in a wrong unit weighs next to nothing.
 */
export function betweenLogs(crossings: readonly Meeting[]): Meeting[] {
  const pairs = new Map<string, Meeting[]>();
  for (const m of crossings) {
    if (m.kind === 0) continue;
    const key = `${Math.min(m.firstLog, m.secondLog)},${Math.max(m.firstLog, m.secondLog)}`;
    const list = pairs.get(key);
    if (list === undefined) pairs.set(key, [m]);
    else list.push(m);
  }
  const own = crossings.filter(({ kind }) => kind === 0);
  const others = [...pairs.values()].filter((list) => list.length >= FEWEST_OF_PAIR);
  return [...own, ...others.flatMap((list, i) => withoutConstant(list, i + 2))];
}

function withoutConstant(meetings: readonly Meeting[], kind: number): Meeting[] {
  const low = Math.min(meetings[0].firstLog, meetings[0].secondLog);
  const sign = (m: Meeting) => (m.firstLog === low ? 1 : -1);
  const constant = medianOf(meetings.map((m) => sign(m) * m.difference));
  return meetings.map((m) => ({ ...m, difference: m.difference - sign(m) * constant, kind }));
}

/** Rows between two neighboring passes of their log, one on each side, that run the other way. */
export function neighborMeetings(survey: LoggedRows): Meeting[] {
  const { east, north } = flatten(survey);
  const ground: Ground = {
    survey,
    east,
    north,
    courses: courseOfRows(survey, east, north),
    ...sortRows(east, north),
  };
  const step = Math.max(1, Math.floor(survey.count / MOST_NEIGHBORS));
  const meetings: Meeting[] = [];
  for (let i = 0; i < survey.count; i += step) {
    const meeting = between(survey, i, sidesOf(ground, i));
    if (meeting !== undefined) meetings.push(meeting);
  }
  return meetings;
}

/** A survey with its rows by buckets of cells. */
interface Ground extends CellRows {
  readonly survey: LoggedRows;
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly courses: Courses;
}

/** Rows by buckets of cells, in each in their order. */
interface CellRows {
  /** Where the rows of each bucket begin in `rows`; one entry more than there are buckets. */
  readonly starts: Int32Array;
  readonly rows: Int32Array;
}

const bucketOf = (column: number, row: number): number => mixCell(column, row) & (BUCKETS - 1);

function sortRows(east: Float64Array, north: Float64Array): CellRows {
  const buckets = new Int32Array(east.length);
  const starts = new Int32Array(BUCKETS + 1);
  for (let i = 0; i < buckets.length; i++) {
    buckets[i] = bucketOf(Math.floor(east[i] / CELL), Math.floor(north[i] / CELL));
    starts[buckets[i] + 1]++;
  }
  for (let bucket = 0; bucket < BUCKETS; bucket++) starts[bucket + 1] += starts[bucket];
  const next = starts.slice();
  const rows = new Int32Array(buckets.length);
  for (let i = 0; i < buckets.length; i++) rows[next[buckets[i]]++] = i;
  return { starts, rows };
}

/** Nearest places abreast of a row on passes of its log that run the other way, to the right and to the left. */
function sidesOf(ground: Ground, i: number): Sides {
  const sides: Sides = [undefined, undefined];
  const [cx, cy] = ground.courses(i);
  if (cx === 0 && cy === 0) return sides;
  // Outward to either side: the cells about a place hold all pieces that pass abreast within half a step of it.
  for (let away = 0; away <= NEIGHBOR; away += OUTWARD) {
    for (const side of [0, 1] as const) {
      const found = sides[side];
      if (found !== undefined && Math.abs(found.aside) <= away - OUTWARD / 2) continue;
      const way = side === 0 ? away : -away;
      lookAbout(ground, i, ground.east[i] + way * cy, ground.north[i] - way * cx, cx, cy, sides);
    }
  }
  return sides;
}

/** Places abreast of a row, whose course is `[cx, cy]`, on pieces that begin in the cells about a place. */
function lookAbout(
  { survey, east, north, courses, starts, rows }: Ground,
  i: number,
  x: number,
  y: number,
  cx: number,
  cy: number,
  sides: Sides,
): void {
  const column = Math.floor(x / CELL);
  const row = Math.floor(y / CELL);
  for (let c = column - 1; c <= column + 1; c++) {
    for (let r = row - 1; r <= row + 1; r++) {
      const bucket = bucketOf(c, r);
      for (let k = starts[bucket]; k < starts[bucket + 1]; k++) {
        const j = rows[k];
        if (survey.pass[j] === survey.pass[i] || survey.log[j] !== survey.log[i]) continue;
        const abreast = sideAbreast(survey, east, north, i, j, cx, cy);
        if (abreast === undefined) continue;
        const side = abreast.aside > 0 ? 0 : 1;
        const before = sides[side];
        if (before !== undefined && !isNearer(abreast, before)) continue;
        const [dx, dy] = courses(j);
        if (dx * cx + dy * cy <= OPPOSITE) sides[side] = abreast;
      }
    }
  }
}

/** True when a place is nearer than another, or as near and earlier. */
function isNearer(place: Side, other: Side): boolean {
  const more = Math.abs(place.aside) - Math.abs(other.aside);
  return more < 0 || (more === 0 && place.row < other.row);
}

type Sides = [right: Side | undefined, left: Side | undefined];

/** Place on another pass straight abreast of a row. */
interface Side {
  /** Row before it. */
  readonly row: number;
  /** m; positive to the right of the course. */
  readonly aside: number;
  /** Depth there, m. */
  readonly depth: number;
}

/** Where the piece from row j to the next passes abreast of row i, whose course is `[cx, cy]`; undefined when it does not. */
function sideAbreast(
  survey: Rows,
  east: Float64Array,
  north: Float64Array,
  i: number,
  j: number,
  cx: number,
  cy: number,
): Side | undefined {
  if (j + 1 >= survey.count || survey.pass[j + 1] !== survey.pass[j]) return undefined;
  const along = (east[j] - east[i]) * cx + (north[j] - north[i]) * cy;
  const next = (east[j + 1] - east[i]) * cx + (north[j + 1] - north[i]) * cy;
  if (along * next > 0 || along === next || Math.abs(along - next) > LONGEST_PIECE) return undefined;
  const share = along / (along - next);
  const asideOf = (row: number) => (east[row] - east[i]) * cy - (north[row] - north[i]) * cx;
  const aside = asideOf(j) + share * (asideOf(j + 1) - asideOf(j));
  if (Math.abs(aside) > NEIGHBOR || Math.abs(aside) < LEAST_ASIDE) return undefined;
  return { row: j, aside, depth: survey.depth[j] + share * (survey.depth[j + 1] - survey.depth[j]) };
}

type Courses = (row: number) => readonly [east: number, north: number];

function between(survey: LoggedRows, i: number, [right, left]: Sides): Meeting | undefined {
  if (right === undefined || left === undefined) return undefined;
  const share = left.aside / (left.aside - right.aside);
  const depth = share * right.depth + (1 - share) * left.depth;
  const rate = share * rateOfDeepening(survey, right.row) + (1 - share) * rateOfDeepening(survey, left.row);
  const own = rateOfDeepening(survey, i);
  if (Number.isNaN(rate) || Number.isNaN(own)) return undefined;
  return {
    difference: survey.depth[i] - depth,
    firstRate: own,
    secondRate: rate,
    firstLog: survey.log[i],
    secondLog: survey.log[i],
    firstPass: survey.pass[i],
    secondPass: survey.pass[right.row],
    kind: 1,
  };
}

/** Unit vector of the course at a row, from two rows before to two after on its pass. */
function courseOfRows(survey: Rows, east: Float64Array, north: Float64Array): Courses {
  return (row) => {
    let from = row;
    let to = row;
    for (let k = 0; k < 2; k++) {
      if (from > 0 && survey.pass[from - 1] === survey.pass[row]) from--;
      if (to + 1 < survey.count && survey.pass[to + 1] === survey.pass[row]) to++;
    }
    const x = east[to] - east[from];
    const y = north[to] - north[from];
    const length = Math.sqrt(x * x + y * y);
    return length < 1 ? [0, 0] : [x / length, y / length];
  };
}
