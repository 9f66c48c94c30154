import type { Survey } from '../../contract/index.ts';
import { dayNumber } from '../days.ts';
import { flatten, isSampled } from '../steps.ts';

/** Columns of the nodes, with the array class of each. */
const COLUMNS = {
  /** First survey row of the node. */
  row: Int32Array,
  /** First survey row after the node. */
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
  /** Number of the place: a part of a leg, up to 50 m long. */
  place: Int32Array,
  /** Distance along the rows of the survey to the middle of the node, m; includes steps between passes. */
  way: Float64Array,
  /** Course as a unit vector; (0, 0) for a boat at rest. */
  courseEast: Float64Array,
  courseNorth: Float64Array,
  /** Rate of deepening along the node, m/s: the error of depth per second of latency; NaN without times. */
  rate: Float64Array,
} as const;

type TrackNode = Readonly<Record<keyof typeof COLUMNS, number>>;

/** Short stretches of track at which passes are compared, as columns in row order. */
export type TrackNodes = {
  readonly [K in keyof typeof COLUMNS]: (typeof COLUMNS)[K] extends Int32ArrayConstructor
    ? Int32Array
    : Float64Array;
} & {
  readonly count: number;
  /** Typical distance between passes, m. */
  readonly spacing: number;
  /** Target length of a node, m; a node may be shorter, for example at a gap. */
  readonly length: number;
};

/** Limits of the target length of a node, m. */
const SHORTEST = 5;
const LONGEST = 10;
/** Number of nodes per pass spacing, before their length is limited to `SHORTEST` and `LONGEST`. */
const PER_SPACING = 2.5;
/** Approximate maximum number of nodes; a larger survey is sampled in a fixed pattern of square patches. */
const MAX_NODES = 3500;
/** Width of a patch, in pass spacings. */
const PATCH = 10;
const MIN_PATCH = 60;
/** Maximum step between rows of a leg, m. */
const BREAK = 25;
/** Minimum cosine of the angle between the course of a node and the course at the start of its leg. */
const TURN = 0.5;
const LONGEST_LEG = 400;
const LONGEST_PLACE = 50;
/** Side of the cells over which the spacing is estimated, m. */
const AREA = 80;

/** A survey with positions relative to its first row, m, and the length of the step to each row, m. */
interface FlatSurvey extends Survey {
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly step: Float64Array;
}

/**
 * Divides the track of a survey, with rows sorted by log, into nodes.
 *
 * @param cuts Rows at which a new node always begins.
 */
export function trackNodes(survey: Survey, cuts: ReadonlySet<number>): TrackNodes {
  const { east, north } = flatten(survey);
  const step = east.map((x, i) => {
    const [dx, dy] = i === 0 ? [0, 0] : [x - east[i - 1], north[i] - north[i - 1]];
    return Math.sqrt(dx * dx + dy * dy);
  });
  const flat = { ...survey, east, north, step };
  const spacing = usualSpacing(flat);
  const length = Math.min(LONGEST, Math.max(SHORTEST, spacing.between / PER_SPACING));
  const share = Math.max(1, Math.ceil(spacing.track / length / MAX_NODES));
  const patch = Math.max(MIN_PATCH, PATCH * spacing.between);
  const nodes: TrackNode[] = [];
  let [legStart, placeStart] = [0, 0];
  const add = (row: number, end: number, middle: number): void => {
    const node = nodeOf(flat, row, end, middle);
    const before = nodes.at(-1);
    const start = nodes[legStart];
    const isNewLeg =
      before === undefined ||
      survey.pass[before.row] !== survey.pass[row] ||
      before.end !== row ||
      Math.hypot(node.east - before.east, node.north - before.north) > BREAK + LONGEST ||
      start.courseEast * node.courseEast + start.courseNorth * node.courseNorth < TURN ||
      node.way - start.way > LONGEST_LEG;
    const isNewPlace = isNewLeg || node.way - nodes[placeStart].way > LONGEST_PLACE;
    if (isNewLeg) legStart = nodes.length;
    if (isNewPlace) placeStart = nodes.length;
    const { leg, place } = before ?? { leg: -1, place: -1 };
    nodes.push({ ...node, leg: leg + Number(isNewLeg), place: place + Number(isNewPlace) });
  };
  let way = 0;
  let from = -1;
  let fromWay = 0;
  for (let i = 0; i < survey.count; i++) {
    const isJoined = i > 0 && survey.pass[i] === survey.pass[i - 1] && step[i] <= BREAK && !cuts.has(i);
    way += step[i];
    const isIn = isSampled(Math.floor(east[i] / patch), Math.floor(north[i] / patch), share);
    if (from >= 0 && (!isJoined || !isIn || way - fromWay >= length)) {
      add(from, i, (fromWay + way - step[i]) / 2);
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
 * Estimates the typical distance between passes, m, and the total length of track, m.
 *
 * The distance in a square of 80 m is the area of the square divided by the length of track in the square.
 * The typical distance is the median over squares, weighted by length of track.
 */
function usualSpacing({ count, pass, east, north, step }: FlatSurvey): { between: number; track: number } {
  const tracks = new Map<number, number>();
  let track = 0;
  for (let i = 1; i < count; i++) {
    if (pass[i] !== pass[i - 1] || step[i] > BREAK) continue;
    const cell = Math.floor(east[i] / AREA) * 2 ** 20 + Math.floor(north[i] / AREA);
    tracks.set(cell, (tracks.get(cell) ?? 0) + step[i]);
    track += step[i];
  }
  let half = 0;
  for (const trackHere of [...tracks.values()].sort((a, b) => b - a)) {
    half += trackHere;
    if (half * 2 >= track) return { between: (AREA * AREA) / trackHere, track };
  }
  return { between: AREA, track };
}

/** Returns the node of rows `[row, end)`. @param way Distance to the middle of the node, m. */
function nodeOf(
  { count, pass, log, depth, time, east, north }: FlatSurvey,
  row: number,
  end: number,
  way: number,
): Omit<TrackNode, 'leg' | 'place'> {
  const mean = (column: Float64Array | Float32Array): number => {
    let sum = 0;
    for (let i = row; i < end; i++) sum += column[i];
    return sum / (end - row);
  };
  // Course and rate include one row of the pass on each side, so that even a node of a single row has both.
  const first = row > 0 && pass[row - 1] === pass[row] ? row - 1 : row;
  const last = end < count && pass[end] === pass[row] ? end : end - 1;
  const x = east[last] - east[first];
  const y = north[last] - north[first];
  const long = Math.hypot(x, y);
  const seconds = time[last] - time[first];
  return {
    row,
    end,
    log: log[row],
    day: dayNumber(time[row]),
    east: mean(east),
    north: mean(north),
    depth: mean(depth),
    time: mean(time),
    way,
    courseEast: long < 1 ? 0 : x / long,
    courseNorth: long < 1 ? 0 : y / long,
    rate: seconds > 0 ? (depth[last] - depth[first]) / seconds : Number.NaN,
  };
}
