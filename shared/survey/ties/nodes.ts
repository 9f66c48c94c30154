import type { Survey } from '../../contract/index.ts';
import { dayNumber } from '../days.ts';
import { flatten, isSampled } from '../flat-places.ts';

/** Columns of the nodes, with the array class of each. */
const COLUMNS = {
  /** Survey rows `[row, end)`. */
  row: Int32Array,
  end: Int32Array,
  /** Mean position relative to the first row of the survey, m. */
  east: Float64Array,
  north: Float64Array,
  /** Mean depth, m, positive down. */
  depth: Float64Array,
  /** Mean time, s; NaN without times. */
  time: Float64Array,
  log: Int32Array,
  /** Days since 1970; -1 without a date. */
  day: Int32Array,
  /** Number of the leg: a stretch of a pass, at most 400 m long, without a break or a turn of 60 degrees. */
  leg: Int32Array,
  /**
   * Distance along the log to the middle of the node, m, jumps included; nodes of one log that are close by this
   * measure are the same track.
   */
  way: Float64Array,
  /** Unit vector of the course; zero for a boat at rest. */
  courseEast: Float64Array,
  courseNorth: Float64Array,
  /** Rate of deepening along the node, m/s, equal to the effect of a latency of one second; NaN without times. */
  rate: Float64Array,
} as const;

type TrackNode = Readonly<Record<keyof typeof COLUMNS, number>>;

/**
 * Short stretches of track, each with its mean depth, at which passes are compared. Columns of equal length, in
 * row order.
 */
export type TrackNodes = {
  readonly [K in keyof typeof COLUMNS]: (typeof COLUMNS)[K] extends Int32ArrayConstructor
    ? Int32Array
    : Float64Array;
} & {
  readonly count: number;
  /** Typical distance between passes, m, and length of a node, m. */
  readonly spacing: number;
  readonly length: number;
};

/** Shortest and longest node, m, and the number of node lengths per pass spacing. */
const SHORTEST = 5;
const LONGEST = 10;
const PER_SPACING = 2.5;
/**
 * Approximate number of nodes compared. Larger surveys are sampled in a fixed pattern of patches, each this many
 * times the spacing wide and at least `MIN_PATCH` m.
 */
const MAX_NODES = 3500;
const PATCH = 10;
const MIN_PATCH = 60;
/** Step that ends a leg, m; cosine of the turn that ends a leg; and maximum length of a leg, m. */
const BREAK = 25;
const TURN = 0.5;
const LONGEST_LEG = 400;
/** Side of the cells over which the spacing is estimated, m. */
const AREA = 80;

/**
 * Nodes of a survey whose rows are sorted by log.
 *
 * @param cuts Rows, ascending, at which a new node always begins.
 */
export function trackNodes(survey: Survey, cuts: readonly number[] = []): TrackNodes {
  const { east, north } = flatten(survey);
  const spacing = usualSpacing(survey, east, north);
  const length = Math.min(LONGEST, Math.max(SHORTEST, spacing.between / PER_SPACING));
  const share = Math.max(1, Math.ceil(spacing.track / length / MAX_NODES));
  const patch = Math.max(MIN_PATCH, PATCH * spacing.between);
  const nodes: TrackNode[] = [];
  let legStart: TrackNode | undefined;
  const add = (row: number, end: number, middle: number): void => {
    const node = nodeOf(survey, east, north, row, end, middle);
    const before = nodes.at(-1);
    const isNewLeg =
      before === undefined || legStart === undefined || !isSameLeg(survey, before, legStart, node);
    const made = { ...node, leg: before === undefined ? 0 : before.leg + Number(isNewLeg) };
    if (isNewLeg) legStart = made;
    nodes.push(made);
  };
  let way = 0;
  let from = -1;
  let fromWay = 0;
  let cut = 0;
  for (let i = 0; i < survey.count; i++) {
    const x = i === 0 ? 0 : east[i] - east[i - 1];
    const y = i === 0 ? 0 : north[i] - north[i - 1];
    const step = Math.sqrt(x * x + y * y);
    const isCut = cuts[cut] === i;
    if (isCut) cut++;
    const isJoined = i > 0 && survey.pass[i] === survey.pass[i - 1] && step <= BREAK && !isCut;
    way += step;
    const isIn = isSampled(Math.floor(east[i] / patch), Math.floor(north[i] / patch), share);
    if (from >= 0 && (!isJoined || !isIn || way - fromWay >= length)) {
      add(from, i, (fromWay + way - step) / 2);
      from = -1;
    }
    if (from < 0 && isIn) {
      from = i;
      fromWay = way;
    }
  }
  if (from >= 0) add(from, survey.count, (fromWay + way) / 2);
  const columns = Object.entries(COLUMNS).map(([name, Column]) => [
    name,
    new Column(nodes.map((node) => node[name as keyof TrackNode])),
  ]);
  return { count: nodes.length, spacing: spacing.between, length, ...Object.fromEntries(columns) };
}

/**
 * Typical distance between passes, m, and total length of track, m. The distance is the area of an 80 m square
 * divided by the track in it; the median over squares, weighted by track.
 */
function usualSpacing(
  { count, pass }: Survey,
  east: Float64Array,
  north: Float64Array,
): { between: number; track: number } {
  const tracks = new Map<number, number>();
  let track = 0;
  for (let i = 1; i < count; i++) {
    if (pass[i] !== pass[i - 1]) continue;
    const x = east[i] - east[i - 1];
    const y = north[i] - north[i - 1];
    const step = Math.sqrt(x * x + y * y);
    if (step > BREAK) continue;
    const cell = Math.floor(east[i] / AREA) * 2 ** 20 + Math.floor(north[i] / AREA);
    tracks.set(cell, (tracks.get(cell) ?? 0) + step);
    track += step;
  }
  let half = 0;
  for (const trackHere of [...tracks.values()].sort((a, b) => b - a)) {
    half += trackHere;
    if (half * 2 >= track) return { between: (AREA * AREA) / trackHere, track };
  }
  return { between: AREA, track };
}

/** The node of survey rows `[row, end)`. @param way Distance along the log to its middle, m. */
function nodeOf(
  survey: Survey,
  east: Float64Array,
  north: Float64Array,
  row: number,
  end: number,
  way: number,
): Omit<TrackNode, 'leg'> {
  const n = end - row;
  let [e, m, d, t] = [0, 0, 0, 0];
  for (let i = row; i < end; i++) {
    e += east[i];
    m += north[i];
    d += survey.depth[i];
    t += survey.time[i];
  }
  // Measured over the node plus one row of the same pass on each side, so that even a short node has a course
  // and a rate.
  const first = row > 0 && survey.pass[row - 1] === survey.pass[row] ? row - 1 : row;
  const last = end < survey.count && survey.pass[end] === survey.pass[row] ? end : end - 1;
  const x = east[last] - east[first];
  const y = north[last] - north[first];
  const long = Math.hypot(x, y);
  const seconds = survey.time[last] - survey.time[first];
  return {
    row,
    end,
    log: survey.log[row],
    day: dayNumber(survey.time[row]),
    east: e / n,
    north: m / n,
    depth: d / n,
    time: t / n,
    way,
    courseEast: long < 1 ? 0 : x / long,
    courseNorth: long < 1 ? 0 : y / long,
    rate: seconds > 0 ? (survey.depth[last] - survey.depth[first]) / seconds : Number.NaN,
  };
}

/** True when a node continues the leg of the node before it. @param start First node of that leg. */
const isSameLeg = (
  { pass }: Survey,
  before: TrackNode,
  start: TrackNode,
  node: Omit<TrackNode, 'leg'>,
): boolean =>
  pass[before.row] === pass[node.row] &&
  before.end === node.row &&
  Math.hypot(node.east - before.east, node.north - before.north) <= BREAK + LONGEST &&
  start.courseEast * node.courseEast + start.courseNorth * node.courseNorth >= TURN &&
  node.way - start.way <= LONGEST_LEG;
