import type { Soundings } from '../contract/soundings.ts';
import { findCrossings, flatten, rateOfDeepening } from './crossings.ts';
import { median } from './echoes.ts';

type Rows = Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth' | 'time' | 'pass'>;

/** A position lag, with how sure it is. */
export interface LagEstimate {
  /** Seconds by which positions are behind depths: a depth belongs this far ahead of its position. */
  readonly seconds: number;
  readonly sd: number;
  /** Meetings of passes behind it. */
  readonly meetings: number;
}

/** One meeting: how much two passes disagree, against how differently the bottom changed in time under them. */
interface Meeting {
  /** m */
  readonly difference: number;
  /** m/s */
  readonly rate: number;
  /** Passes that share its error. */
  readonly pass: number;
  /** 0 for crossings, 1 for a pass between two neighbors. */
  readonly kind: 0 | 1;
}

/** Fewest meetings, and passes they come from. */
const FEWEST = 30;
const FEWEST_PASSES = 3;
/** Rates closer than this say nothing of a lag, m/s: level bottom, or one direction. */
const LEAST_RATE = 0.02;
/** Neighboring passes are looked for up to this far, m. */
const NEIGHBOR = 60;
/** Meetings between neighboring passes taken, about. */
const MOST_NEIGHBORS = 6000;
/** Crossings that need no neighbors beside them. */
const ENOUGH_CROSSINGS = 1000;
/** Rounds of reweighting; the estimate has settled by then. */
const ROUNDS = 12;

/**
 * Seconds by which positions lag depths, from passes that met the same bottom in different directions.
 *
 * Where passes A and B cross, a lag t makes depth A - depth B = t (rate A - rate B), with the rate of deepening in
 * time along each pass; a pass between two neighbors run the other way gives the same relation against their mean.
 * Slope through 0 by Tukey's bisquare, each kind of meeting with its own scatter; the standard deviation counts
 * passes, not meetings, as independent. Undefined when too few passes met, or the bottom was level.
 */
export function estimateLag(
  survey: Rows,
): LagEstimate | { readonly meetings: number; readonly seconds?: undefined } {
  const crossings = crossingMeetings(survey);
  // Where passes cross a thousand times and more, passes side by side add nothing but time.
  const beside = crossings.length >= ENOUGH_CROSSINGS ? [] : neighborMeetings(survey);
  const meetings = [...crossings, ...beside].filter((m) => Math.abs(m.rate) >= LEAST_RATE);
  const passes = new Set(meetings.map((m) => m.pass));
  if (meetings.length < FEWEST || passes.size < FEWEST_PASSES) return { meetings: meetings.length };
  let lag = 0;
  let weights: number[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const residuals = meetings.map((m) => m.difference - lag * m.rate);
    const scale = [0, 1].map((kind) => spread(residuals.filter((_, i) => meetings[i].kind === kind)));
    weights = meetings.map((m, i) => bisquare(residuals[i] / (4.685 * scale[m.kind])) / scale[m.kind] ** 2);
    const top = meetings.reduce((sum, m, i) => sum + weights[i] * m.rate * m.difference, 0);
    const bottom = meetings.reduce((sum, m, i) => sum + weights[i] * m.rate ** 2, 0);
    if (!(bottom > 0)) return { meetings: meetings.length };
    lag = top / bottom;
  }
  return { seconds: lag, sd: clusteredSd(meetings, weights, lag), meetings: meetings.length };
}

/** Standard deviation of the slope when the residuals of one pass hang together. */
function clusteredSd(meetings: readonly Meeting[], weights: readonly number[], lag: number): number {
  const scores = new Map<number, number>();
  let bread = 0;
  for (const [i, m] of meetings.entries()) {
    scores.set(m.pass, (scores.get(m.pass) ?? 0) + weights[i] * m.rate * (m.difference - lag * m.rate));
    bread += weights[i] * m.rate ** 2;
  }
  const meat = [...scores.values()].reduce((sum, score) => sum + score ** 2, 0);
  const n = scores.size;
  return Math.sqrt((meat * n) / Math.max(1, n - 1)) / bread;
}

const bisquare = (u: number): number => (Math.abs(u) >= 1 ? 0 : (1 - u * u) ** 2);

/** Robust standard deviation about 0; at least a centimeter, so that perfect data has one. */
const spread = (values: number[]): number =>
  Math.max(0.01, values.length === 0 ? 0 : 1.4826 * median(values.map((value) => Math.abs(value))));

function crossingMeetings(survey: Rows): Meeting[] {
  const crossings = findCrossings(survey);
  const meetings: Meeting[] = [];
  for (let i = 0; i < crossings.count; i++) {
    const rate = crossings.firstRate[i] - crossings.secondRate[i];
    if (Number.isNaN(rate)) continue;
    const difference = crossings.firstDepth[i] - crossings.secondDepth[i];
    meetings.push({ difference, rate, pass: survey.pass[crossings.first[i]], kind: 0 });
  }
  return meetings;
}

/** Rows between two neighboring passes, one on each side, that run the other way. */
function neighborMeetings(survey: Rows): Meeting[] {
  const { east, north } = flatten(survey);
  const courses = courseOfRows(survey, east, north);
  const cells = new Map<string, number[]>();
  const key = (x: number, y: number) => `${Math.floor(x / NEIGHBOR)},${Math.floor(y / NEIGHBOR)}`;
  for (let i = 0; i < survey.count; i++) {
    const k = key(east[i], north[i]);
    const list = cells.get(k);
    if (list === undefined) cells.set(k, [i]);
    else list.push(i);
  }
  const step = Math.max(1, Math.floor(survey.count / MOST_NEIGHBORS));
  const meetings: Meeting[] = [];
  for (let i = 0; i < survey.count; i += step) {
    const [cx, cy] = courses(i);
    if (cx === 0 && cy === 0) continue;
    const sides: [Side | undefined, Side | undefined] = [undefined, undefined];
    for (let dx = -1; dx <= 1; dx++) {
      for (let dy = -1; dy <= 1; dy++) {
        for (const j of cells.get(key(east[i] + dx * NEIGHBOR, north[i] + dy * NEIGHBOR)) ?? []) {
          if (survey.pass[j] === survey.pass[i]) continue;
          const along = (east[j] - east[i]) * cx + (north[j] - north[i]) * cy;
          const aside = (east[j] - east[i]) * cy - (north[j] - north[i]) * cx;
          if (Math.abs(along) > 2 || Math.abs(aside) > NEIGHBOR || Math.abs(aside) < 0.5) continue;
          const side = aside > 0 ? 0 : 1;
          const before = sides[side];
          if (before === undefined || Math.abs(aside) < before.distance)
            sides[side] = { row: j, distance: Math.abs(aside) };
        }
      }
    }
    const meeting = between(survey, i, sides, courses);
    if (meeting !== undefined) meetings.push(meeting);
  }
  return meetings;
}

interface Side {
  readonly row: number;
  readonly distance: number;
}

type Courses = (row: number) => readonly [east: number, north: number];

function between(
  survey: Rows,
  i: number,
  [right, left]: readonly [Side | undefined, Side | undefined],
  courses: Courses,
): Meeting | undefined {
  if (right === undefined || left === undefined) return undefined;
  const [cx, cy] = courses(i);
  for (const side of [right, left]) {
    const [x, y] = courses(side.row);
    if (x * cx + y * cy > -0.8) return undefined;
  }
  const share = left.distance / (left.distance + right.distance);
  const depth = share * survey.depth[right.row] + (1 - share) * survey.depth[left.row];
  const rate = share * rateOfDeepening(survey, right.row) + (1 - share) * rateOfDeepening(survey, left.row);
  const own = rateOfDeepening(survey, i);
  if (Number.isNaN(rate) || Number.isNaN(own)) return undefined;
  return { difference: survey.depth[i] - depth, rate: own - rate, pass: survey.pass[i], kind: 1 };
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
