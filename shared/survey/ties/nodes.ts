import type { Survey } from '../../contract/index.ts';
import { dayNumber } from '../days.ts';
import { flatten, mixCell } from '../meetings.ts';

/**
 * Short stretches of track, each with its mean depth, at which passes are compared. Columns of equal length, in
 * row order.
 */
export interface TrackNodes {
  readonly count: number;
  /** Survey rows `[row, end)` of each node. */
  readonly row: Int32Array;
  readonly end: Int32Array;
  /** Mean position relative to the first row of the survey, m. */
  readonly east: Float64Array;
  readonly north: Float64Array;
  /** Mean depth, m, positive down. */
  readonly depth: Float64Array;
  /** Mean time, s; NaN without times. */
  readonly time: Float64Array;
  readonly log: Int32Array;
  /** Days since 1970; -1 without a date. */
  readonly day: Int32Array;
  /** Number of the leg: a stretch of a pass, at most 400 m long, without a break or a turn of 60 degrees. */
  readonly leg: Int32Array;
  /**
   * Distance along the log to the middle of the node, m, jumps included; nodes of one log that are close by this
   * measure are the same track.
   */
  readonly way: Float64Array;
  /** Unit vector of the course; zero for a boat at rest. */
  readonly courseEast: Float64Array;
  readonly courseNorth: Float64Array;
  /** Rate of deepening along the node, m/s, equal to the effect of a latency of one second; NaN without times. */
  readonly rate: Float64Array;
  /** Typical distance between passes, m, and length of a node, m. */
  readonly spacing: number;
  readonly length: number;
}

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
  const isSampled = (row: number): boolean =>
    share === 1 || mixCell(Math.floor(east[row] / patch), Math.floor(north[row] / patch)) % share === 0;
  const list = new NodeList();
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
    const isIn = isSampled(i);
    if (from >= 0 && (!isJoined || !isIn || way - fromWay >= length)) {
      list.add(survey, east, north, from, i, (fromWay + way - step) / 2);
      from = -1;
    }
    if (from < 0 && isIn) {
      from = i;
      fromWay = way;
    }
  }
  if (from >= 0) list.add(survey, east, north, from, survey.count, (fromWay + way) / 2);
  return list.nodes(spacing.between, length);
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
  let key = 0;
  let inCell = 0;
  for (let i = 1; i < count; i++) {
    if (pass[i] !== pass[i - 1]) continue;
    const x = east[i] - east[i - 1];
    const y = north[i] - north[i - 1];
    const step = Math.sqrt(x * x + y * y);
    if (step > BREAK) continue;
    const cell = Math.floor(east[i] / AREA) * 2 ** 20 + Math.floor(north[i] / AREA);
    if (cell !== key) {
      tracks.set(key, (tracks.get(key) ?? 0) + inCell);
      key = cell;
      inCell = 0;
    }
    inCell += step;
    track += step;
  }
  tracks.set(key, (tracks.get(key) ?? 0) + inCell);
  let half = 0;
  for (const trackHere of [...tracks.values()].sort((a, b) => b - a)) {
    half += trackHere;
    if (half * 2 >= track) return { between: (AREA * AREA) / trackHere, track };
  }
  return { between: AREA, track };
}

/** Collects nodes and finds their legs. */
class NodeList {
  private readonly ints: Record<'row' | 'end' | 'log' | 'day' | 'leg', number[]> = {
    row: [],
    end: [],
    log: [],
    day: [],
    leg: [],
  };
  private readonly floats: Record<
    'east' | 'north' | 'depth' | 'time' | 'way' | 'courseEast' | 'courseNorth' | 'rate',
    number[]
  > = { east: [], north: [], depth: [], time: [], way: [], courseEast: [], courseNorth: [], rate: [] };
  private legs = -1;
  private legStart = 0;

  add(survey: Survey, east: Float64Array, north: Float64Array, row: number, end: number, way: number): void {
    const { ints, floats } = this;
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
    const courseEast = long < 1 ? 0 : x / long;
    const courseNorth = long < 1 ? 0 : y / long;
    const before = ints.row.length - 1;
    const start = this.legStart;
    const isSameLeg =
      before >= 0 &&
      survey.pass[ints.row[before]] === survey.pass[row] &&
      ints.end[before] === row &&
      Math.hypot(e / n - floats.east[before], m / n - floats.north[before]) <= BREAK + LONGEST &&
      floats.courseEast[start] * courseEast + floats.courseNorth[start] * courseNorth >= TURN &&
      way - floats.way[start] <= LONGEST_LEG;
    if (!isSameLeg) {
      this.legs++;
      this.legStart = ints.row.length;
    }
    ints.row.push(row);
    ints.end.push(end);
    ints.log.push(survey.log[row]);
    ints.day.push(dayNumber(survey.time[row]));
    ints.leg.push(this.legs);
    floats.east.push(e / n);
    floats.north.push(m / n);
    floats.depth.push(d / n);
    floats.time.push(t / n);
    floats.way.push(way);
    floats.courseEast.push(courseEast);
    floats.courseNorth.push(courseNorth);
    floats.rate.push(seconds > 0 ? (survey.depth[last] - survey.depth[first]) / seconds : Number.NaN);
  }

  nodes(spacing: number, length: number): TrackNodes {
    const ints = Object.entries(this.ints).map(([name, list]) => [name, Int32Array.from(list)]);
    const floats = Object.entries(this.floats).map(([name, list]) => [name, Float64Array.from(list)]);
    return {
      count: this.ints.row.length,
      spacing,
      length,
      ...Object.fromEntries([...ints, ...floats]),
    } as TrackNodes;
  }
}
