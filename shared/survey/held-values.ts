import { group } from 'd3-array';
import { range, sum } from 'es-toolkit/math';
import type { Soundings } from '../contract/index.ts';
import { rowRuns } from '../math/index.ts';
import { distanceBetween } from './steps.ts';

/** A depth that the sonar repeats whenever it has lost bottom. */
export interface HeldValue {
  /** m. */
  readonly depth: number;
  /** Number of runs of rows with exactly this depth, without runs that are too short. */
  readonly runs: number;
  /** Rows of all these runs, ascending. */
  readonly rows: readonly number[];
}

const FEWEST_ROWS = 4;
const MIN_WAY = 2;
/** A run counts as held when the depth jumps by more than this at its start or end, m. */
const MIN_JUMP = 1;
/** The jump must also be more than this many times the usual step between rows (`usualStep`). */
const USUAL_STEPS = 3;
/** Minimum number of held runs of a held value. */
const FEWEST_RUNS = 3;
/** Minimum share of held runs among all runs of a held value. */
const SHARE = 0.6;

/**
 * Finds depths that recur in runs of equal rows, when most of these runs begin or end with a jump.
 *
 * A level bottom also gives runs of equal depths, but they begin and end with small steps. The depth jumps
 * where a sonar repeats its last reading or the limit of its range.
 */
export function findHeldValues(log: Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth'>): HeldValue[] {
  const { count, lat, lon, depth } = log;
  const runs: Run[] = [];
  const isHeld = (row: number, start: number): boolean => depth[row] === depth[start];
  for (const [from, to] of rowRuns(count, isHeld, FEWEST_ROWS))
    if (distanceBetween(lat[from], lon[from], lat[to - 1], lon[to - 1]) >= MIN_WAY) runs.push([from, to]);
  if (runs.length < FEWEST_RUNS) return [];
  const least = Math.max(MIN_JUMP, USUAL_STEPS * usualStep(depth));
  const jumpOf = ([from, to]: Run): number => {
    const before = from > 0 ? Math.abs(depth[from] - depth[from - 1]) : 0;
    const after = to < depth.length ? Math.abs(depth[to] - depth[to - 1]) : 0;
    return Math.max(before, after);
  };
  return [...group(runs, ([from]) => depth[from])].flatMap(([value, own]) => {
    const held = own.filter((run) => jumpOf(run) > least).length;
    if (held < FEWEST_RUNS || held < SHARE * own.length) return [];
    return [{ depth: value, runs: own.length, rows: own.flatMap(([from, to]) => range(from, to)) }];
  });
}

type Run = readonly [from: number, to: number];

/** Minimum number of rows sampled for the usual step. All rows of a shorter log are used. */
const SAMPLE = 20_000;

/** Returns the mean change in depth between rows, m, without the largest 5 %, which include the jumps. */
function usualStep(depth: Float32Array): number {
  const stride = Math.max(1, Math.floor(depth.length / SAMPLE));
  const steps = range(1, depth.length, stride).map((i) => Math.abs(depth[i] - depth[i - 1]));
  steps.sort((a, b) => a - b);
  const most = Math.max(1, Math.floor(0.95 * steps.length));
  return sum(steps.slice(0, most)) / most;
}
