import type { SoundingLog } from '../../../shared/contract/index.ts';
import { hasDay } from '../../../shared/survey/index.ts';

/**
 * Fewest backward steps for which rows count as out of order. Clocks do get set back now and then.
 */
const FEWEST_FALLS = 10;
/** Smallest share of the rows that these steps must make up. */
const LEAST_SHARE = 0.05;

/**
 * Rows of a part sorted by time when they are in another order, such as newest first.
 *
 * When many times are earlier than the one above, passes cannot be separated. A row without a time stays after the row
 * above it. Rows with equal times keep their order, which is reversed for a log that is newest first.
 *
 * @returns Row numbers in order of time; undefined for a part that is in order except for a few steps, or that has only
 * times of day.
 */
export function orderOfTime({ time, count }: SoundingLog): number[] | undefined {
  const { falls, rises } = countSteps(time, count);
  if (falls < FEWEST_FALLS || falls < LEAST_SHARE * count) return undefined;
  const rows = Array.from({ length: count }, (_, row) => row);
  if (falls > rises) rows.reverse();
  const known = new Float64Array(count);
  let last = Number.NEGATIVE_INFINITY;
  for (const row of rows) {
    if (!Number.isNaN(time[row])) last = time[row];
    known[row] = last;
  }
  // Array.prototype.sort is stable; the difference of two infinities is NaN.
  rows.sort((a, b) => (known[a] < known[b] ? -1 : known[a] > known[b] ? 1 : 0));
  return rows;
}

/**
 * Counts backward and forward steps. Gives none when a time has no date, since a clock without dates simply continues
 * past midnight.
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
