import { bisectLeft, bisector, bisectRight, flatGroup } from 'd3-array';
import { range } from 'es-toolkit/math';
import type { Survey } from '../contract/index.ts';
import { distanceBetween } from './steps.ts';

/** Rows of one log that are also in another log. */
export interface DuplicateRows {
  /** Index into the logs of the survey. */
  readonly log: number;
  /** Index of the other log, smaller than `log`. */
  readonly other: number;
  /** Rows of `log`, ascending. */
  readonly rows: readonly number[];
}

/** Maximum distance of a duplicate row from the other log's position at the same time, m. */
const SAME_PLACE = 1;
/** Maximum difference in depth between a duplicate row and the other log at the same time, m. */
const SAME_DEPTH = 0.1;
/** As `SAME_DEPTH`, as a share of the depth; the larger of the two limits applies. */
const SAME_SHARE = 0.02;
/** Maximum time between two rows of the other log for interpolation, s; rows in longer gaps are ignored. */
const LONGEST_GAP = 15;
/** Minimum share of duplicates among the compared rows; logs of two boats or two sonars have fewer. */
const SHARE = 0.5;

/**
 * Finds soundings that several logs contain: the same log given twice, or logs that overlap.
 *
 * Logs with times are compared where their times overlap. A row is a duplicate when the other log has nearly
 * the same position and depth at that time. The other log is interpolated between its rows, because block
 * means of overlapping logs begin at different soundings. If fewer than half of the compared rows agree, none
 * is a duplicate. Logs without times are compared with each other: position and depth must be equal.
 */
export function findDuplicates(survey: Survey): DuplicateRows[] {
  const { logs } = survey;
  const isTimed = logs.map(({ firstTime }) => !Number.isNaN(firstTime));
  const taken = new Uint8Array(survey.count);
  const found: DuplicateRows[] = isTimed.includes(false) ? sameRows(survey, isTimed) : [];
  for (let log = 1; log < logs.length; log++) {
    for (let other = 0; other < log; other++) {
      if (!isTimed[log] || !isTimed[other]) continue;
      if (logs[log].firstTime > logs[other].lastTime || logs[other].firstTime > logs[log].lastTime) continue;
      const others = rowsDuring(survey, other, log, 1);
      const rows = sameTimes(survey, rowsDuring(survey, log, other, 0), others).filter(
        (row) => taken[row] === 0,
      );
      for (const row of rows) taken[row] = 1;
      if (rows.length > 0) found.push({ log, other, rows });
    }
  }
  return found.sort((a, b) => a.log - b.log || a.other - b.other);
}

/** Returns the rows of log `own` in the time span of log `other`, and `more` on each side, sorted by time. */
function rowsDuring({ log, logs, time }: Survey, own: number, other: number, more: 0 | 1): number[] {
  const [start, end] = [bisectLeft(log, own), bisectRight(log, own)];
  const rows = Array.from({ length: end - start }, (_, k) => start + k)
    .filter((row) => !Number.isNaN(time[row]))
    .sort((a, b) => time[a] - time[b]);
  const { left, right } = bisector((row: number) => time[row]);
  const { firstTime, lastTime } = logs[other];
  return rows.slice(Math.max(0, left(rows, firstTime) - more), right(rows, lastTime) + more);
}

function sameTimes(survey: Survey, rows: readonly number[], others: readonly number[]): number[] {
  const { time, lat, lon, depth } = survey;
  const { right } = bisector((other: number) => time[other]);
  const same: number[] = [];
  let common = 0;
  for (const row of rows) {
    const at = right(others, time[row]) - 1;
    if (at < 0) continue;
    const before = others[at];
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

/** Finds duplicates among logs without times: rows with the position and depth of a row in an earlier log. */
function sameRows({ lat, lon, depth, log, count }: Survey, isTimed: readonly boolean[]): DuplicateRows[] {
  const first = new Map<string, number>();
  const same = range(count).flatMap((row) => {
    if (isTimed[log[row]]) return [];
    const key = `${lat[row]},${lon[row]},${depth[row]}`;
    const other = first.get(key) ?? log[row];
    first.set(key, other);
    return other === log[row] ? [] : [{ row, log: log[row], other }];
  });
  return flatGroup(
    same,
    (found) => found.log,
    (found) => found.other,
  ).map(([own, other, found]) => ({ log: own, other, rows: found.map(({ row }) => row) }));
}
