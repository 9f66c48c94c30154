import type { Soundings } from '../contract/soundings.ts';
import { medianOf } from '../median.ts';
import { findCrossings, rateOfDeepening } from './crossings.ts';
import { flatten, mixCell } from './meetings.ts';

type Rows = Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth' | 'time' | 'pass'>;

/** A position lag, with how sure it is. */
export interface LagEstimate {
  /** Seconds by which positions are behind depths: a depth belongs this far ahead of its position. */
  readonly seconds: number;
  readonly sd: number;
  /** Meetings of passes behind it. */
  readonly meetings: number;
}

/** One meeting: how much two passes disagree, against how fast the bottom changed in time under each. */
interface Meeting {
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

/** Fewest meetings, and passes they come from. */
const FEWEST = 30;
const FEWEST_PASSES = 3;
/** Fewest crossings of two logs that say anything beside the constant between them. */
const FEWEST_OF_PAIR = 20;
/** Rates closer than this say nothing of a lag, m/s: level bottom, or one direction. */
const LEAST_RATE = 0.02;
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
/** Crossings that need no neighbors beside them. */
const ENOUGH_CROSSINGS = 1000;
/** Standard deviation of the position offset of a pass, along its course, s: a meter at idle. */
const PASS_OFFSET = 0.4;
/** Standard deviation of a log's lag about that of all, before anything is known of it, s. */
const PRIOR = 0.5;
/** Most rounds of reweighting, and the change after which the estimate has settled, s. */
const ROUNDS = 24;
const SETTLED = 1e-4;

/** Lag of each log of a survey. */
export interface SurveyLag {
  /** By log; undefined where too little says it. */
  readonly logs: readonly (LagEstimate | undefined)[];
  /** Lag taken as one over all logs. */
  readonly all?: LagEstimate;
  readonly meetings: number;
}

/**
 * Seconds by which positions lag depths, from passes that met the same bottom in different directions.
 *
 * Where passes A and B cross, lags make depth A - depth B = lag A x rate A - lag B x rate B, with the rate of
 * deepening in time along each pass; a pass between two neighbors run the other way gives the same relation against
 * their mean. First one lag for all, then one for each log with the common one as prior (0.5 s), by least squares
 * with Tukey's bisquare, each kind of meeting with its own scatter. Standard deviations count passes, not meetings,
 * as independent. Absent when too few passes met, or the bottom was level.
 */
export function estimateLag(survey: LoggedRows): SurveyLag {
  const crossings = betweenLogs(crossingMeetings(survey));
  // Where passes cross a thousand times and more, passes side by side add nothing but time.
  const beside = crossings.length >= ENOUGH_CROSSINGS ? [] : neighborMeetings(survey);
  const meetings = [...crossings, ...beside].filter(({ firstRate: a, secondRate: b, kind }) =>
    kind >= 2 ? Math.max(Math.abs(a), Math.abs(b)) >= LEAST_RATE : Math.abs(a - b) >= LEAST_RATE,
  );
  // Rows stand in the order of their logs.
  const logs = survey.count === 0 ? 0 : survey.log[survey.count - 1] + 1;
  const all = lagOfAll(meetings);
  if (all === undefined) return { logs: new Array(logs).fill(undefined), meetings: meetings.length };
  return {
    all,
    logs: logs === 1 ? [all] : lagsOfLogs(meetings, logs, all.seconds),
    meetings: meetings.length,
  };
}

function lagOfAll(meetings: readonly Meeting[]): LagEstimate | undefined {
  const passes = new Set(meetings.map(({ firstPass }) => firstPass));
  if (meetings.length < FEWEST || passes.size < FEWEST_PASSES) return undefined;
  const n = meetings.length;
  const kinds = kindsOf(meetings);
  const rate = columnOf(meetings, (m) => m.firstRate - m.secondRate);
  const difference = columnOf(meetings, (m) => m.difference);
  const residuals = new Float64Array(n);
  const weights = new Float64Array(n);
  let lag = 0;
  for (let round = 0; round < ROUNDS; round++) {
    for (let i = 0; i < n; i++) residuals[i] = difference[i] - lag * rate[i];
    weigh(kinds, residuals, weights);
    let bottom = 0;
    for (let i = 0; i < n; i++) bottom += weights[i] * rate[i] ** 2;
    if (!(bottom > 0)) return undefined;
    let top = 0;
    for (let i = 0; i < n; i++) top += weights[i] * rate[i] * difference[i];
    const before = lag;
    lag = top / bottom;
    if (Math.abs(lag - before) < SETTLED) break;
  }
  for (let i = 0; i < n; i++) residuals[i] = difference[i] - lag * rate[i];
  return { seconds: lag, sd: clusteredSd(meetings, weights, residuals, rate), meetings: n };
}

/** Lag of each log, by turns with the others held, until they have settled. */
function lagsOfLogs(meetings: readonly Meeting[], logs: number, common: number): (LagEstimate | undefined)[] {
  const columns = columnsOf(meetings);
  const lags = new Float64Array(logs).fill(common);
  const byLog: number[][] = Array.from({ length: logs }, () => []);
  for (let i = 0; i < meetings.length; i++) {
    const { firstLog, secondLog } = meetings[i];
    byLog[firstLog].push(i);
    if (secondLog !== firstLog) byLog[secondLog].push(i);
  }
  const kinds = kindsOf(meetings);
  const residuals = new Float64Array(meetings.length);
  const weights = new Float64Array(meetings.length);
  let change = Number.POSITIVE_INFINITY;
  for (let round = 0; round < ROUNDS && change > SETTLED; round++) {
    change = 0;
    for (let i = 0; i < residuals.length; i++) residuals[i] = residualOf(columns, lags, i);
    weigh(kinds, residuals, weights);
    for (let log = 0; log < logs; log++) {
      const step = stepOf(columns, lags, weights, byLog[log], log, common);
      lags[log] += step;
      change = Math.max(change, Math.abs(step));
    }
  }
  for (let i = 0; i < residuals.length; i++) residuals[i] = residualOf(columns, lags, i);
  return byLog.map((list, log) => {
    const own = list.map((i) => meetings[i]);
    if (own.length < FEWEST || new Set(own.map(({ firstPass }) => firstPass)).size < FEWEST_PASSES)
      return undefined;
    const sd = clusteredSd(
      own,
      Float64Array.from(list, (i) => weights[i]),
      Float64Array.from(list, (i) => residuals[i]),
      Float64Array.from(list, (i) => shareOf(columns, i, log)),
    );
    return { seconds: lags[log], sd, meetings: own.length };
  });
}

/** What the fit reads of meetings, as columns. */
interface Columns {
  readonly difference: Float64Array;
  readonly firstRate: Float64Array;
  readonly secondRate: Float64Array;
  readonly firstLog: Int32Array;
  readonly secondLog: Int32Array;
}

const columnsOf = (meetings: readonly Meeting[]): Columns => ({
  difference: columnOf(meetings, (m) => m.difference),
  firstRate: columnOf(meetings, (m) => m.firstRate),
  secondRate: columnOf(meetings, (m) => m.secondRate),
  firstLog: Int32Array.from(meetings, (m) => m.firstLog),
  secondLog: Int32Array.from(meetings, (m) => m.secondLog),
});

/** Difference at a meeting that the lags leave, m. */
const residualOf = (
  { difference, firstRate, secondRate, firstLog, secondLog }: Columns,
  lags: Float64Array,
  i: number,
): number => difference[i] - lags[firstLog[i]] * firstRate[i] + lags[secondLog[i]] * secondRate[i];

/** Rate by which the lag of a log makes the difference at a meeting, m/s. */
const shareOf = ({ firstRate, secondRate, firstLog, secondLog }: Columns, i: number, log: number): number =>
  (firstLog[i] === log ? firstRate[i] : 0) - (secondLog[i] === log ? secondRate[i] : 0);

/** Step of the lag of a log to where its meetings and the prior have it, s. */
function stepOf(
  columns: Columns,
  lags: Float64Array,
  weights: Float64Array,
  own: readonly number[],
  log: number,
  common: number,
): number {
  let top = (common - lags[log]) / PRIOR ** 2;
  let bottom = 1 / PRIOR ** 2;
  for (const i of own) {
    const x = shareOf(columns, i, log);
    top += weights[i] * x * residualOf(columns, lags, i);
    bottom += weights[i] * x * x;
  }
  return top / bottom;
}

/** Kinds of meetings, numbered without gaps, and the squared rates of each meeting. */
interface Kinds {
  readonly of: Int32Array;
  readonly squares: Float64Array;
  /** Place of each meeting where they are put kind by kind, and where each kind begins there; one entry more than kinds. */
  readonly places: Int32Array;
  readonly starts: Int32Array;
}

function kindsOf(meetings: readonly Meeting[]): Kinds {
  const numbers = new Map<number, number>();
  const of = new Int32Array(meetings.length);
  for (let i = 0; i < of.length; i++) {
    const { kind } = meetings[i];
    of[i] = numbers.get(kind) ?? numbers.size;
    numbers.set(kind, of[i]);
  }
  const starts = new Int32Array(numbers.size + 1);
  for (const kind of of) starts[kind + 1]++;
  for (let kind = 0; kind < numbers.size; kind++) starts[kind + 1] += starts[kind];
  const next = starts.slice();
  const squares = columnOf(meetings, (m) => m.firstRate * m.firstRate + m.secondRate * m.secondRate);
  return { of, squares, starts, places: of.map((kind) => next[kind]++) };
}

function columnOf(meetings: readonly Meeting[], of: (meeting: Meeting) => number): Float64Array {
  const column = new Float64Array(meetings.length);
  for (let i = 0; i < column.length; i++) column[i] = of(meetings[i]);
  return column;
}

/**
 * Weights by Tukey's bisquare over the variance of each meeting: the scatter of its kind, and what the position offset
 * of a pass makes of the rate. Without the latter one steep place, passed twice, would outvote the lake.
 */
function weigh({ of, squares, places, starts }: Kinds, residuals: Float64Array, weights: Float64Array): void {
  const sizes = new Float64Array(of.length);
  for (let i = 0; i < of.length; i++) sizes[places[i]] = Math.abs(residuals[i]);
  const scale = new Float64Array(starts.length - 1);
  for (let kind = 0; kind < scale.length; kind++)
    scale[kind] = spread(sizes.subarray(starts[kind], starts[kind + 1]));
  for (let i = 0; i < of.length; i++) {
    const variance = scale[of[i]] ** 2 + PASS_OFFSET ** 2 * squares[i];
    weights[i] = bisquare(residuals[i] / (4.685 * Math.sqrt(variance))) / variance;
  }
}

/** Standard deviation of a slope when the residuals of one pass hang together, on either side of a meeting. */
function clusteredSd(
  meetings: readonly Meeting[],
  weights: Float64Array,
  residuals: Float64Array,
  rate: Float64Array,
): number {
  let bread = 0;
  // Each meeting stands in a cluster of either side: counted twice, taken off once.
  let single = 0;
  const first = new Map<number, number>();
  const second = new Map<number, number>();
  for (let i = 0; i < meetings.length; i++) {
    const { firstPass, secondPass } = meetings[i];
    const score = weights[i] * rate[i] * residuals[i];
    bread += weights[i] * rate[i] ** 2;
    single += score * score;
    first.set(firstPass, (first.get(firstPass) ?? 0) + score);
    second.set(secondPass, (second.get(secondPass) ?? 0) + score);
  }
  const meat = [first, second].map((sums) => {
    let sum = 0;
    for (const score of sums.values()) sum += score * score;
    return (sum * sums.size) / Math.max(1, sums.size - 1);
  });
  return Math.sqrt(Math.max(meat[0] + meat[1] - single, meat[0], meat[1])) / bread;
}

const bisquare = (u: number): number => (Math.abs(u) >= 1 ? 0 : (1 - u * u) ** 2);

/** Robust standard deviation about 0, from sizes; at least a centimeter, so that perfect data has one. */
const spread = (sizes: Float64Array): number => Math.max(0.01, 1.4826 * medianOf(sizes));

type LoggedRows = Rows & { readonly log: Int32Array };

function crossingMeetings(survey: LoggedRows): Meeting[] {
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
function betweenLogs(crossings: readonly Meeting[]): Meeting[] {
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
function neighborMeetings(survey: LoggedRows): Meeting[] {
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
