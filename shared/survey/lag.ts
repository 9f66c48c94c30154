import { medianOf } from '../math/median.ts';
import {
  betweenLogs,
  crossingMeetings,
  type LoggedRows,
  type Meeting,
  neighborMeetings,
} from './lag-meetings.ts';

/** A position lag, with how sure it is. */
export interface LagEstimate {
  /** Seconds by which positions are behind depths: a depth belongs this far ahead of its position. */
  readonly seconds: number;
  readonly sd: number;
  /** Meetings of passes behind it. */
  readonly meetings: number;
}

/** Fewest meetings, and passes they come from. */
const FEWEST = 30;
const FEWEST_PASSES = 3;
/** Rates closer than this say nothing of a lag, m/s: level bottom, or one direction. */
const LEAST_RATE = 0.02;
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
