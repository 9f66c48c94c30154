import type { Soundings } from '../contract/index.ts';
import { medianOf } from '../math/index.ts';
import { LONGEST_PAUSE, LONGEST_STEP, stepsOf } from './steps.ts';

export interface EchoRules {
  /** Minimum height of a spike, m. */
  readonly height: number;
  /** Minimum height of a spike as a share of the surrounding depth. */
  readonly share: number;
  /** Steepest credible bottom, deg; a spike rises more steeply than this. */
  readonly steepest: number;
  /**
   * Longest distance over which the depth may stay exactly constant in a log where it varies elsewhere, m.
   */
  readonly frozen: number;
}

/** Rows that are not bottom; each list is ascending, and a row is in only one list. */
export interface BadEchoes {
  readonly spikes: number[];
  readonly doubles: number[];
  readonly shallow: number[];
  readonly frozen: number[];
  /** Longest distance over which the depth stayed frozen, m. */
  readonly farthestFrozen: number;
}

/** Number of neighboring rows used on each side of a run, and how far along the track they may be, m. */
const NEIGHBORS = 5;
const NEIGHBOR_WAY = 20;
/** Fewest neighbors needed on each side to judge a run. */
const FEWEST = 2;
/**
 * Runs of at least this many rows are bottom, unless their depth is a simple multiple of the surrounding
 * depth.
 */
const RUN_OF_BOTTOM = 5;
/** Longest run that can be an echo, m; a longer run counts as bottom. */
const LONGEST_ECHO = 100;
/** Relative tolerance for matching a ratio of 2, 1/2 or 1/3. */
const RATIO_TOLERANCE = 0.05;
/**
 * A stretch of equal depths counts as frozen when its probability, estimated from the rest of the log, is
 * below this.
 */
const FROZEN_CHANCE = 1e-6;

/**
 * Depths that are not the bottom: spikes, double echoes, part echoes, frozen depths.
 *
 * A run of depths is judged where the depth steps away and back again, each time by more than half of a
 * spike's height and more steeply than a bottom can be. It is compared with the median of the 5 rows before
 * and 5 after, within 20 m. Short runs that differ by more than the height are spikes; runs at twice the
 * median (within 5 %) are double echoes; longer runs at a half or a third of it are part echoes. A run of 5
 * or more at any other depth is bottom.
 */
export function findBadEchoes(log: Echoes, rules: EchoRules): BadEchoes {
  const { count, depth } = log;
  const found = findEdges(log, rules);
  const { way, isBreak, edges } = found;
  const bad: BadEchoes & { farthestFrozen: number } = {
    spikes: [],
    doubles: [],
    shallow: [],
    frozen: [],
    farthestFrozen: 0,
  };
  for (let k = 0; k < edges.length; k++) judgeFrom(k);
  const taken = new Set([...bad.spikes, ...bad.doubles, ...bad.shallow]);
  const { rows, farthest } = findFrozen(depth, found, rules.frozen);
  for (const row of rows) if (!taken.has(row)) bad.frozen.push(row);
  bad.farthestFrozen = farthest;
  for (const list of [bad.spikes, bad.doubles, bad.shallow]) list.sort((a, b) => a - b);
  return bad;

  /**
   * Judges the runs that begin at one edge. Several later edges are tried as the end because noise may put an
   * edge inside a run.
   */
  function judgeFrom(k: number): void {
    const start = edges[k];
    if (isMarked(start)) return;
    for (let m = k + 1; m <= k + 3 && m < edges.length; m++) {
      const end = edges[m];
      if (way[end - 1] - way[start] > LONGEST_ECHO || judgeRun(start, end) || isBreak[end] === 1) return;
    }
  }

  function judgeRun(start: number, end: number): boolean {
    const before = isBreak[start] === 1 ? [] : neighborsOf(start - 1, -1);
    const after = isBreak[end] === 1 ? [] : neighborsOf(end, 1);
    if (before.length < FEWEST || after.length < FEWEST) return judgeEnd(start, end, before, after);
    const around = medianOf([...before, ...after]);
    // Where the two sides differ, the bottom itself steps, and nothing between them is a spike.
    const height = Math.max(rules.height, rules.share * around);
    if (Math.abs(medianOf(before) - medianOf(after)) > height) return false;
    const inside = medianOf(Array.from(depth.subarray(start, end)));
    const length = end - start;
    const isNear = (ratio: number) => Math.abs(inside / around / ratio - 1) <= RATIO_TOLERANCE;
    if (isNear(2) && Math.abs(inside - around) > height) return mark(bad.doubles, start, end, around, height);
    if (length >= RUN_OF_BOTTOM) {
      const isPart = (isNear(1 / 2) || isNear(1 / 3)) && around - inside > height;
      return isPart && mark(bad.shallow, start, end, around, height);
    }
    return Math.abs(inside - around) > height && mark(bad.spikes, start, end, around, height);
  }

  /**
   * A short run at the start or end of a stretch has only one side to be judged against, so that side must be
   * complete.
   */
  function judgeEnd(start: number, end: number, before: number[], after: number[]): boolean {
    const side = before.length > 0 ? before : after;
    const isAtEnd = isBreak[start] !== isBreak[end];
    if (!isAtEnd || side.length < NEIGHBORS || end - start >= RUN_OF_BOTTOM) return false;
    const around = medianOf(side);
    const height = Math.max(rules.height, rules.share * around);
    const isOff = Math.abs(medianOf(Array.from(depth.subarray(start, end))) - around) > height;
    return isOff && mark(bad.spikes, start, end, around, height);
  }

  function mark(list: number[], start: number, end: number, around: number, height: number): boolean {
    for (let i = start; i < end; i++) if (Math.abs(depth[i] - around) > height) list.push(i);
    return true;
  }

  function isMarked(row: number): boolean {
    return bad.spikes.at(-1) === row || bad.doubles.at(-1) === row || bad.shallow.at(-1) === row;
  }

  /** Depths of up to 5 rows starting at `from`, in one direction, within 20 m and without a break. */
  function neighborsOf(from: number, direction: 1 | -1): number[] {
    const found: number[] = [];
    for (let i = from; i >= 0 && i < count && found.length < NEIGHBORS; i += direction) {
      if (Math.abs(way[i] - way[from]) > NEIGHBOR_WAY) break;
      found.push(depth[i]);
      if (isBreak[direction === 1 ? i + 1 : i] === 1) break;
    }
    return found;
  }
}

type Echoes = Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth' | 'time'>;

/** Distance along a log, m, and the rows where the log is interrupted or the depth steps too steeply. */
interface Edges {
  readonly way: Float64Array;
  /** The log begins and ends with a break. */
  readonly isBreak: Uint8Array;
  /** Rows, ascending; breaks are included. */
  readonly edges: number[];
}

function findEdges(log: Echoes, { height, share, steepest }: EchoRules): Edges {
  const { count, depth, time } = log;
  const { east, north } = stepsOf(log);
  const way = new Float64Array(count);
  const isBreak = new Uint8Array(count + 1);
  const edges = [0];
  isBreak[0] = isBreak[count] = 1;
  const steepness = Math.tan((steepest * Math.PI) / 180);
  for (let i = 1; i < count; i++) {
    const step = Math.sqrt(east[i] * east[i] + north[i] * north[i]);
    way[i] = way[i - 1] + step;
    const pause = time[i] - time[i - 1];
    if (step > LONGEST_STEP || pause > LONGEST_PAUSE || pause < 0) {
      isBreak[i] = 1;
      edges.push(i);
      continue;
    }
    const change = Math.abs(depth[i] - depth[i - 1]);
    const least = Math.min(depth[i], depth[i - 1]);
    if (change > 0.5 * Math.max(height, share * least) && change > steepness * step) edges.push(i);
  }
  edges.push(count);
  return { way, isBreak, edges };
}

/**
 * Frozen rows: every stretch of exactly equal depths too long to be chance in this log, except its first row.
 *
 * @param limit Shortest stretch that is judged, m. How often a depth repeats the one before it elsewhere in the log
 *   gives the chance.
 */
function findFrozen(
  depth: Float32Array,
  { way, isBreak }: Edges,
  limit: number,
): { rows: number[]; farthest: number } {
  const count = way.length;
  const long: [start: number, end: number][] = [];
  let [equal, pairs, start] = [0, 0, 0];
  for (let i = 1; i <= count; i++) {
    if (isBreak[i] === 0 && depth[i] === depth[start]) continue;
    if (way[i - 1] - way[start] > limit) long.push([start, i]);
    else {
      equal += i - 1 - start;
      pairs += i - start;
    }
    start = i;
  }
  const rows: number[] = [];
  let farthest = 0;
  // When most of the log consists of these stretches, there is nothing to compare them with.
  if (pairs * 2 < count) return { rows, farthest };
  const chance = Math.max(equal / pairs, 1 / pairs);
  for (const [from, to] of long) {
    if ((to - from - 1) * Math.log(chance) > Math.log(FROZEN_CHANCE)) continue;
    farthest = Math.max(farthest, way[to - 1] - way[from]);
    for (let i = from + 1; i < to; i++) rows.push(i);
  }
  return { rows, farthest };
}
