import type { Soundings } from '../contract/index.ts';
import { distanceBetween } from './steps.ts';

/** A depth that the sonar kept repeating while it had lost bottom, with the rows that have it, ascending. */
export interface HeldValue {
  readonly depth: number;
  readonly runs: number;
  readonly rows: readonly number[];
}

/** Fewest equal rows in a run, and the least distance it covers, m. */
const FEWEST_ROWS = 4;
const MIN_WAY = 2;
/**
 * A run is held where the depth jumps into or out of it by more than this, m, and by more than this many
 * times the usual step between rows.
 */
const MIN_JUMP = 1;
const USUAL_STEPS = 3;
/** Fewest held runs of one value, and their least share of all long runs of that value. */
const FEWEST_RUNS = 3;
const SHARE = 0.6;

/**
 * Depths that recur in runs that the neighboring bottom does not lead up to.
 *
 * A level bottom also gives runs of equal depths, but approaches them in small steps; a sonar that repeats
 * its last reading, or a limit, jumps.
 */
export function findHeldValues(log: Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth'>): HeldValue[] {
  const { count, lat, lon, depth } = log;
  const runs: Run[] = [];
  for (let from = 0; from < count; ) {
    let to = from + 1;
    while (to < count && depth[to] === depth[from]) to++;
    if (
      to - from >= FEWEST_ROWS &&
      distanceBetween(lat[from], lon[from], lat[to - 1], lon[to - 1]) >= MIN_WAY
    )
      runs.push({ from, to });
    from = to;
  }
  if (runs.length < FEWEST_RUNS) return [];
  const least = Math.max(MIN_JUMP, USUAL_STEPS * usualStep(depth));
  const values = new Map<number, { runs: Run[]; held: number }>();
  for (const run of runs) {
    const seen = values.get(depth[run.from]) ?? { runs: [], held: 0 };
    seen.runs.push(run);
    if (jumpOf(depth, run) > least) seen.held++;
    values.set(depth[run.from], seen);
  }
  return [...values].flatMap(([value, seen]) => {
    if (seen.held < FEWEST_RUNS || seen.held < SHARE * seen.runs.length) return [];
    const rows = seen.runs.flatMap(({ from, to }) => Array.from({ length: to - from }, (_, k) => from + k));
    return [{ depth: value, runs: seen.runs.length, rows }];
  });
}

interface Run {
  readonly from: number;
  readonly to: number;
}

/** The larger of the depth steps into and out of a run, m. */
function jumpOf(depth: Float32Array, { from, to }: Run): number {
  const before = from > 0 ? Math.abs(depth[from] - depth[from - 1]) : 0;
  const after = to < depth.length ? Math.abs(depth[to] - depth[to - 1]) : 0;
  return Math.max(before, after);
}

/** Approximate number of rows sampled for the usual step. */
const SAMPLE = 20_000;

/** Mean step between rows, m, without the largest 5 %, which include the jumps. */
function usualStep(depth: Float32Array): number {
  const stride = Math.max(1, Math.floor(depth.length / SAMPLE));
  const steps: number[] = [];
  for (let i = 1; i < depth.length; i += stride) steps.push(Math.abs(depth[i] - depth[i - 1]));
  steps.sort((a, b) => a - b);
  const most = Math.max(1, Math.floor(0.95 * steps.length));
  return steps.slice(0, most).reduce((sum, step) => sum + step, 0) / most;
}
