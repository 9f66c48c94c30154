import type { SoundingLog } from '../../../shared/contract/index.ts';
import { pickRows } from '../../../shared/math/index.ts';
import { hasDay } from '../../../shared/survey/index.ts';
import { soundingMessages as says } from '../../../shared/text/index.ts';
import type { Tally } from './tally.ts';

/** State carried from one part of a log to the next. */
type LogState = ReturnType<typeof createLogState>;

export const createLogState = () => ({
  /** Number of rows returned so far. */
  rows: 0,
  /** Last usable time so far, s; NaN when there is none. */
  lastTime: Number.NaN,
  /** Number of midnights passed so far by a clock without dates. */
  midnights: 0,
});

/** 1024 weeks, s: period of GPS week numbers (IS-GPS-200). Old receivers give times this much too early. */
const ROLLOVER = 619_315_200;
/** Tolerance for recognizing a step of 1024 weeks, s; judgment. */
const NEAR_ROLLOVER = 120;
const HALF_DAY = 43_200;
const DAY = 86_400;

/**
 * Repairs the times of a part and drops repeated rows.
 *
 * Rows are sorted by time if many are out of order. Times of day keep counting up past midnight; after a time
 * with a date they become NaN. Times that are 1024 weeks early become NaN. A row that repeats time, position
 * and depth of an earlier row of the part is dropped.
 */
export function finishPart(part: SoundingLog, state: LogState, tally: Tally): SoundingLog {
  if (hasPlainTimes(part, state)) {
    state.rows += part.count;
    state.lastTime = part.time[part.count - 1];
    return part;
  }
  const rising = putInOrder(part, tally);
  repairTimes(rising, state, tally);
  const keep = findRepeats(rising, tally);
  state.rows += keep === undefined ? rising.count : keep.length;
  return keep === undefined ? rising : pickRows(rising, keep);
}

/** Minimum number of backward steps of time for sorting the rows; judgment. A clock set back gives fewer. */
const FEWEST_FALLS = 10;
/** Minimum share of rows with a backward step of time for sorting the rows, 0 to 1; judgment. */
const MIN_SHARE = 0.05;

/**
 * Sorts the rows of a part by pass and time if many steps of time go backward, as in a log that is newest
 * first. Passes could not be separated in rows out of order.
 *
 * If most steps go backward, the rows are reversed first. In the sort, rows with equal times keep their
 * order, and a row without a time stays after the row before it. A part that has a time without a date is
 * left as it is.
 */
export function putInOrder(part: SoundingLog, tally: Tally): SoundingLog {
  const { file, line, pass, time, count } = part;
  const { falls, rises } = countSteps(time, count);
  if (falls < FEWEST_FALLS || falls < MIN_SHARE * count) return part;
  tally.flag(says['time-order']({ file, line: line[0] }));
  const rows = Array.from({ length: count }, (_, row) => row);
  if (falls > rises) rows.reverse();
  const known = new Float64Array(count);
  let last = Number.NEGATIVE_INFINITY;
  for (const row of rows) {
    if (!Number.isNaN(time[row])) last = time[row];
    known[row] = last;
  }
  // The sort is stable. Rows before the first known time have -Infinity. The difference of two such rows is
  // NaN, and `|| 0` keeps their order.
  rows.sort((a, b) => pass[a] - pass[b] || known[a] - known[b] || 0);
  return pickRows(part, rows);
}

/**
 * Counts backward and forward steps of time; both 0 if a time lacks a date, because midnight would count as a
 * step back.
 */
function countSteps(time: Float64Array, count: number): { falls: number; rises: number } {
  let falls = 0;
  let rises = 0;
  let last = Number.NaN;
  for (let i = 0; i < count; i++) {
    const t = time[i];
    if (Number.isNaN(t)) continue;
    if (!hasDay(t)) return { falls: 0, rises: 0 };
    if (t < last) falls++;
    else if (t > last) rises++;
    last = t;
  }
  return { falls, rises };
}

/** Returns whether there is nothing to repair or drop: times have dates, rise, and span under 1024 weeks. */
function hasPlainTimes({ time, count }: SoundingLog, { lastTime }: LogState): boolean {
  if (count === 0 || !hasDay(time[0]) || time[0] <= lastTime) return false;
  const start = Number.isNaN(lastTime) ? time[0] : lastTime;
  if (!(time[count - 1] - start < ROLLOVER - NEAR_ROLLOVER)) return false;
  for (let i = 1; i < count; i++) if (!(time[i] > time[i - 1])) return false;
  return true;
}

function repairTimes(part: SoundingLog, state: LogState, tally: Tally): void {
  const { time, line, count } = part;
  const dropTime = (row: number): void => {
    time[row] = Number.NaN;
    tally.flag(says['time-rollover']({ line: line[row] }));
  };
  for (let i = 0; i < count; i++) {
    const t = time[i];
    if (Number.isNaN(t)) continue;
    const before = state.lastTime;
    if (t < DAY) {
      // A time of day that follows a time with a date may belong to any date.
      if (hasDay(before)) {
        time[i] = Number.NaN;
        continue;
      }
      if (before - state.midnights * DAY - t > HALF_DAY) state.midnights++;
      time[i] = t + state.midnights * DAY;
      if (time[i] < before) tally.flag(says['time-back']({ line: line[i] }));
      state.lastTime = time[i];
      continue;
    }
    const step = t - before;
    if (Math.abs(step + ROLLOVER) < NEAR_ROLLOVER) {
      dropTime(i);
      continue;
    }
    if (Math.abs(step - ROLLOVER) < NEAR_ROLLOVER) {
      for (let j = 0; j < i; j++) if (time[j] < t - ROLLOVER / 2) dropTime(j);
    } else if (step < 0) tally.flag(says['time-back']({ line: line[i] }));
    state.lastTime = t;
  }
}

/** Returns the indexes of the rows to keep; undefined when no row repeats an earlier one. */
function findRepeats(part: SoundingLog, tally: Tally): number[] | undefined {
  const { count, time, lat, lon, depth, line } = part;
  let keep: number[] | undefined;
  // The last row kept at each time.
  const lastAt = new Map<number, number>();
  // For each row kept, the row kept before it at the same time; -1 for none.
  const before = new Int32Array(count).fill(-1);
  for (let i = 0; i < count; i++) {
    const last = Number.isNaN(time[i]) ? undefined : lastAt.get(time[i]);
    let isRepeat = false;
    let isRival = false;
    for (let j = last ?? -1; j >= 0 && !isRepeat; j = before[j]) {
      if (lat[i] !== lat[j] || lon[i] !== lon[j]) continue;
      isRival = true;
      isRepeat = depth[i] === depth[j];
    }
    if (isRepeat) {
      keep ??= Array.from({ length: i }, (_, j) => j);
      tally.drop(says['duplicate-row']({ line: line[i] }));
      continue;
    }
    if (isRival) tally.flag(says['two-depths']({ line: line[i] }));
    keep?.push(i);
    before[i] = last ?? -1;
    lastAt.set(time[i], i);
  }
  return keep;
}
