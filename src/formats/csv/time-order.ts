import type { SoundingLog } from '../../../shared/contract/index.ts';
import { hasDay } from '../../../shared/survey/index.ts';

/**
 * Number of times the clock may go back before the rows count as out of order: clocks do get set back now and then.
 */
const FEWEST_FALLS = 10;
/** And the share of rows that they are. */
const LEAST_SHARE = 0.05;

/**
 * Rows of a part sorted by time, if they are not already: newest first, or sorted by something else.
 *
 * Passes cannot be told where every other time is before the one above. Rows without a time stay after the row above
 * them; of equal times those above come first, or last in a log that is newest first.
 *
 * @returns Row numbers in order of time; undefined for a part that is in order but for a few
 *   steps, or has times of day only.
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

/** None where a time has no date: a clock without dates simply runs past midnight. */
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
