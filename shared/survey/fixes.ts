import { rowRuns } from '../math/index.ts';
import { distanceBetween, type Track } from './steps.ts';

/** Distance that a boat at rest may seem to move when the receiver corrects its position, m. */
const FIX_ERROR = 10;

export interface JumpRules {
  /** Maximum possible speed of the boat, m/s. */
  readonly speed: number;
  /** Maximum possible distance between two rows, m, if a time is missing or both times are equal. */
  readonly jump: number;
  /** Maximum number of consecutive stray fixes that agree with each other; a longer series is good. */
  readonly agree: number;
}

/**
 * Finds stray fixes: rows that the boat cannot have reached from the last good row at a possible speed.
 *
 * When more than `agree` consecutive rows agree with each other, these rows are good after all. If the log
 * had at most `agree` good rows until then, the earlier rows are stray instead: the log began with bad fixes.
 *
 * @param skip Rows already removed.
 * @returns Stray rows, ascending, and the maximum distance of a stray row from the nearby good row, m.
 */
export function findJumps(
  log: Track,
  { speed, jump, agree }: JumpRules,
  skip: readonly number[] = [],
): { rows: number[]; farthest: number } {
  const { count, lat, lon, time } = log;
  const rows: number[] = [];
  let farthest = 0;
  const isSkipped = new Uint8Array(count);
  for (const row of skip) isSkipped[row] = 1;
  const distance = (from: number, to: number): number =>
    distanceBetween(lat[from], lon[from], lat[to], lon[to]);
  const isPossible = (from: number, to: number): boolean => {
    const seconds = Math.abs(time[to] - time[from]);
    return distance(from, to) <= (seconds > 0 ? speed * seconds + FIX_ERROR : jump);
  };
  let good = 0;
  // Good rows at the start of the log; undefined once more than `agree` rows are good or a jump is accepted.
  let stretch: number[] | undefined = count > 0 ? [0] : undefined;
  let suspects: number[] = [];
  let agreeing = 0;
  for (let i = 1; i < count; i++) {
    if (isSkipped[i] === 1) continue;
    if (isPossible(good, i)) {
      for (const row of suspects) drop(row, good);
      suspects = [];
      agreeing = 0;
      good = i;
      if (stretch !== undefined && stretch.push(i) > agree) stretch = undefined;
      continue;
    }
    agreeing = suspects.length > 0 && isPossible(suspects[suspects.length - 1], i) ? agreeing + 1 : 1;
    suspects.push(i);
    if (agreeing <= agree) continue;
    const first = suspects.length - agreeing;
    for (const row of suspects.slice(0, first)) drop(row, good);
    for (const row of stretch ?? []) drop(row, i);
    suspects = [];
    agreeing = 0;
    stretch = undefined;
    good = i;
  }
  // Rows still in doubt at the end are stray. If the log has few good rows (`stretch`), the smaller group is
  // stray instead, and groups of equal size are kept.
  if (suspects.length > 0) {
    if (stretch === undefined || stretch.length > suspects.length)
      for (const row of suspects) drop(row, good);
    else if (stretch.length < suspects.length) for (const row of stretch) drop(row, suspects[0]);
  }
  return { rows: rows.sort((a, b) => a - b), farthest };

  function drop(row: number, from: number): void {
    rows.push(row);
    farthest = Math.max(farthest, distance(from, row));
  }
}

/**
 * Finds stale fixes: rows that repeat a position for longer than `seconds` although the boat was under way.
 * The first row at the position is not stale.
 *
 * @param moving Speed above which the boat was under way, m/s: distance to the next position divided by the
 *   time from the first row at the position.
 */
export function findStale(log: Track, seconds: number, moving: number): number[] {
  const { count, lat, lon, time } = log;
  const isHeld = (row: number, start: number) => lat[row] === lat[start] && lon[row] === lon[start];
  const rows: number[] = [];
  for (const [start, end] of rowRuns(count, isHeld, 2)) {
    if (!(time[end - 1] - time[start] > seconds) || end === count) continue;
    const way = distanceBetween(lat[start], lon[start], lat[end], lon[end]);
    if (way / (time[end] - time[start]) > moving) for (let i = start + 1; i < end; i++) rows.push(i);
  }
  return rows;
}
