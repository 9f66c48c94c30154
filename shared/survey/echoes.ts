import { range, sumBy } from 'es-toolkit/math';
import type { Soundings } from '../contract/index.ts';
import { medianOf, rowRuns } from '../math/index.ts';
import { isInterrupted, stepsOf, type Track } from './steps.ts';

export interface EchoRules {
  /** Minimum height of a spike, m. */
  readonly height: number;
  /** Minimum height of a spike as a share of the surrounding depth; the larger of the two minima applies. */
  readonly share: number;
  /** Maximum slope of the bottom, deg; a spike is steeper. */
  readonly steepest: number;
  /** Maximum length of a stretch of exactly equal depths that always counts as bottom, m. */
  readonly frozen: number;
}

/** Rows that are not bottom; each list is ascending, and a row is in only one list. */
export interface BadEchoes {
  readonly spikes: number[];
  readonly doubles: number[];
  /** Partial echoes. */
  readonly shallow: number[];
  readonly frozen: number[];
  /** Length of the longest frozen stretch, m. */
  readonly farthestFrozen: number;
}

const NEIGHBORS = 5;
const NEIGHBOR_WAY = 20;
/** Minimum number of neighbors on each side of a judged run; at a break, `NEIGHBORS` on the other side. */
const FEWEST = 2;
/** A run of at least this many rows is bottom unless it is at 2, 1/2 or 1/3 times the surrounding depth. */
const RUN_OF_BOTTOM = 5;
const LONGEST_ECHO = 100;
const RATIO_TOLERANCE = 0.05;
/** A stretch of equal depths counts as frozen when it would arise by chance with at most this probability. */
const FROZEN_CHANCE = 1e-6;

/**
 * Finds depths that are not the bottom: spikes, double echoes, partial echoes and frozen depths.
 *
 * A run of rows is judged when the depth steps away and back again, each time by more than half of a spike's
 * height and more steeply than the bottom can be. An interruption of the log may replace one of these steps.
 * The surrounding depth is the median of up to 5 rows on each side, within 20 m. A run is bottom if it is
 * longer than 100 m, or if the medians of its two sides differ by more than a spike's height. Any other run
 * whose median differs from the surrounding depth by more than a spike's height is
 *
 * - a double echo at 2 times the surrounding depth (within 5 %);
 * - otherwise a spike if it has fewer than 5 rows;
 * - otherwise a partial echo at 1/2 or 1/3 of the surrounding depth (within 5 %);
 * - otherwise bottom.
 *
 * A run next to an interruption can only be a spike or bottom.
 */
export function findBadEchoes(log: Echoes, rules: EchoRules): BadEchoes {
  const { count, depth } = log;
  const found = findEdges(log, rules);
  const { way, isBreak, edges } = found;
  const bad: Record<'spikes' | 'doubles' | 'shallow', number[]> = { spikes: [], doubles: [], shallow: [] };
  for (let k = 0; k < edges.length; k++) judgeFrom(k);
  const lists = Object.values(bad);
  for (const list of lists) list.sort((a, b) => a - b);
  const taken = new Set(lists.flat());
  const { rows, farthest } = findFrozen(depth, found, rules.frozen);
  return { ...bad, frozen: rows.filter((row) => !taken.has(row)), farthestFrozen: farthest };

  /** Judges the runs that begin at an edge. Tries up to 3 ends, as noise may put an edge inside a run. */
  function judgeFrom(k: number): void {
    const start = edges[k];
    if (Object.values(bad).some((list) => list.at(-1) === start)) return;
    for (const end of edges.slice(k + 1, k + 4))
      if (way[end - 1] - way[start] > LONGEST_ECHO || judgeRun(start, end) || isBreak[end] === 1) return;
  }

  /** Adds the rows of a run that is not bottom to a list. @returns false for a run that may be bottom. */
  function judgeRun(start: number, end: number): boolean {
    const length = end - start;
    const before = isBreak[start] === 1 ? [] : neighborsOf(start - 1, -1);
    const after = isBreak[end] === 1 ? [] : neighborsOf(end, 1);
    const hasBoth = before.length >= FEWEST && after.length >= FEWEST;
    const side = before.length > 0 ? before : after;
    // A run next to a break has neighbors on one side only, so the run must be short and have 5 neighbors.
    const isAtEnd = isBreak[start] !== isBreak[end];
    if (!hasBoth && (!isAtEnd || side.length < NEIGHBORS || length >= RUN_OF_BOTTOM)) return false;
    const around = medianOf(hasBoth ? [...before, ...after] : side);
    const height = Math.max(rules.height, rules.share * around);
    // Where the two sides differ, the bottom itself steps, so the run between them is no spike.
    if (hasBoth && Math.abs(medianOf(before) - medianOf(after)) > height) return false;
    const inside = medianOf(Array.from(depth.subarray(start, end)));
    if (Math.abs(inside - around) <= height) return false;
    const isNear = (ratio: number) => hasBoth && Math.abs(inside / around / ratio - 1) <= RATIO_TOLERANCE;
    const isPart = isNear(1 / 2) || isNear(1 / 3);
    if (!isNear(2) && !isPart && length >= RUN_OF_BOTTOM) return false;
    const list = isNear(2) ? bad.doubles : length >= RUN_OF_BOTTOM ? bad.shallow : bad.spikes;
    for (let i = start; i < end; i++) if (Math.abs(depth[i] - around) > height) list.push(i);
    return true;
  }

  /** Returns the depths of up to 5 rows from `from` on, in one direction, within 20 m and up to a break. */
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

type Echoes = Track & Pick<Soundings, 'depth'>;

/**
 * Finds the edges of runs.
 *
 * @returns `way`: distance along the log to each row, m. `isBreak`: 1 for the first row, for a row after an
 *   interruption, and past the last row. `edges`: rows with `isBreak` or after a steep step, ascending.
 */
function findEdges(log: Echoes, { height, share, steepest }: EchoRules) {
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
    isBreak[i] = Number(isInterrupted(step, time[i] - time[i - 1]));
    const change = Math.abs(depth[i] - depth[i - 1]);
    const least = Math.min(depth[i], depth[i - 1]);
    const isSteep = change > 0.5 * Math.max(height, share * least) && change > steepness * step;
    if (isBreak[i] === 1 || isSteep) edges.push(i);
  }
  edges.push(count);
  return { way, isBreak, edges };
}

/**
 * Finds the frozen rows: all but the first row of each stretch of equal depths too long to be chance.
 *
 * The chance that two consecutive depths are equal is estimated from the rest of the log.
 *
 * @param limit As `EchoRules.frozen`, m.
 */
function findFrozen(depth: Float32Array, { way, isBreak }: ReturnType<typeof findEdges>, limit: number) {
  const long: (readonly [start: number, end: number])[] = [];
  let equal = 0;
  const isEqual = (i: number, first: number): boolean => isBreak[i] === 0 && depth[i] === depth[first];
  for (const [start, end] of rowRuns(way.length, isEqual, 2)) {
    if (way[end - 1] - way[start] > limit) long.push([start, end]);
    else equal += end - 1 - start;
  }
  const pairs = way.length - sumBy(long, ([start, end]) => end - start);
  // If most of the log consists of long equal stretches, the rest is too short to estimate the chance.
  if (pairs * 2 < way.length) return { rows: [], farthest: 0 };
  const chance = Math.max(equal / pairs, 1 / pairs);
  const frozen = long.filter(
    ([start, end]) => (end - start - 1) * Math.log(chance) <= Math.log(FROZEN_CHANCE),
  );
  return {
    rows: frozen.flatMap(([start, end]) => range(start + 1, end)),
    farthest: frozen.reduce((most, [start, end]) => Math.max(most, way[end - 1] - way[start]), 0),
  };
}
