import type { Survey } from '../contract/soundings.ts';
import { distanceBetween } from './steps.ts';

/** Rows of one log that are in an earlier one as well. */
export interface DuplicateRows {
  readonly log: number;
  readonly other: number;
  /** Ascending. */
  readonly rows: readonly number[];
}

/** Farthest that one sounding can lie from itself after two reductions, m, and in depth, m and as a share. */
const SAME_PLACE = 1;
const SAME_DEPTH = 0.1;
const SAME_SHARE = 0.02;
/** Longest time between two rows of a log between which it is known where the boat was, s. */
const LONGEST_GAP = 15;
/** Share of the rows in the common time that must be the same: two boats, or two sonars, agree on less. */
const SHARE = 0.5;

/**
 * Soundings that several logs hold: the same log given twice, logs that overlap.
 *
 * Logs with times are compared where their times overlap: a row is a duplicate when the earlier log had the boat at
 * that place and that depth at that time (between two of its rows, as block means of overlapping logs begin at
 * different soundings). Logs without times are compared by exact place and depth.
 */
export function findDuplicates(survey: Survey): DuplicateRows[] {
  const { logs } = survey;
  const rowsOf = rowsByLog(survey);
  const taken = new Uint8Array(survey.count);
  const found: DuplicateRows[] = [];
  for (let log = 1; log < logs.length; log++) {
    for (let other = 0; other < log; other++) {
      const isTimed = !Number.isNaN(logs[log].firstTime) && !Number.isNaN(logs[other].firstTime);
      if (
        isTimed &&
        (logs[log].firstTime > logs[other].lastTime || logs[other].firstTime > logs[log].lastTime)
      )
        continue;
      if (!isTimed && Number.isNaN(logs[log].firstTime) !== Number.isNaN(logs[other].firstTime)) continue;
      const rows = (
        isTimed
          ? sameTimes(survey, ...inCommonTime(survey, rowsOf(log), rowsOf(other)))
          : sameRows(survey, rowsOf(log), rowsOf(other))
      ).filter((row) => taken[row] === 0);
      for (const row of rows) taken[row] = 1;
      if (rows.length > 0) found.push({ log, other, rows });
    }
  }
  return found;
}

/** Gives the rows of each log, ascending; looked for when first asked, as logs of different days need none. */
function rowsByLog({ count, log, logs }: Survey): (log: number) => Int32Array {
  let rows: Int32Array[] | undefined;
  const find = (): Int32Array[] => {
    const counts = new Int32Array(logs.length);
    for (let row = 0; row < count; row++) counts[log[row]]++;
    const found = Array.from(counts, (n) => new Int32Array(n));
    counts.fill(0);
    for (let row = 0; row < count; row++) found[log[row]][counts[log[row]]++] = row;
    return found;
  };
  return (number) => {
    rows ??= find();
    return rows[number];
  };
}

/** Rows of two logs while both were running, by time; of the other also the last before and the first after. */
function inCommonTime(
  survey: Survey,
  rows: Int32Array,
  others: Int32Array,
): [rows: readonly number[], others: readonly number[]] {
  const { time } = survey;
  const [first, last] = timesOf(time, rows);
  const [otherFirst, otherLast] = timesOf(time, others);
  let before = otherFirst;
  let after = otherLast;
  for (const row of others) {
    if (time[row] <= first && time[row] > before) before = time[row];
    if (time[row] > last && time[row] < after) after = time[row];
  }
  return [byTime(time, rows, otherFirst, otherLast), byTime(time, others, before, after)];
}

function timesOf(time: Float64Array, rows: Int32Array): [first: number, last: number] {
  let first = Number.POSITIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  for (const row of rows) {
    if (time[row] < first) first = time[row];
    if (time[row] > last) last = time[row];
  }
  return [first, last];
}

/** Rows with a time in a span, ends included, by time; those of one time in their order. */
function byTime(time: Float64Array, rows: Int32Array, from: number, to: number): number[] {
  const found: number[] = [];
  let isSorted = true;
  for (const row of rows) {
    if (!(time[row] >= from && time[row] <= to)) continue;
    if (found.length > 0 && time[row] < time[found[found.length - 1]]) isSorted = false;
    found.push(row);
  }
  return isSorted ? found : found.sort((a, b) => time[a] - time[b]);
}

function sameTimes(survey: Survey, rows: readonly number[], others: readonly number[]): number[] {
  const { time, lat, lon, depth } = survey;
  const same: number[] = [];
  let common = 0;
  let at = 0;
  for (const row of rows) {
    while (at + 1 < others.length && time[others[at + 1]] <= time[row]) at++;
    const before = others[at];
    if (time[before] > time[row]) continue;
    const after = others[Math.min(at + 1, others.length - 1)];
    const gap = time[after] - time[before];
    const since = time[row] - time[before];
    if (since > 0 && (gap > LONGEST_GAP || since > gap)) continue;
    common++;
    const share = since === 0 ? 0 : since / gap;
    const between = (column: Float64Array | Float32Array) =>
      column[before] + share * (column[after] - column[before]);
    if (Math.abs(lon[after] - lon[before]) > 180) continue;
    const away = distanceBetween(between(lat), between(lon), lat[row], lon[row]);
    const off = Math.abs(between(depth) - depth[row]);
    if (away <= SAME_PLACE && off <= Math.max(SAME_DEPTH, SAME_SHARE * depth[row])) same.push(row);
  }
  return same.length >= SHARE * common ? same.sort((a, b) => a - b) : [];
}

function sameRows(survey: Survey, rows: Int32Array, others: Int32Array): number[] {
  const { lat, lon, depth } = survey;
  const known = new Set(Array.from(others, (row) => `${lat[row]},${lon[row]},${depth[row]}`));
  return Array.from(rows).filter((row) => known.has(`${lat[row]},${lon[row]},${depth[row]}`));
}
