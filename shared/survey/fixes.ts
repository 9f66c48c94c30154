import type { Soundings } from '../contract/index.ts';
import { createScale, distanceBetween, type Scale, STRETCH, scaleAt, shortTurn } from './steps.ts';

/**
 * Distance by which two fixes of a boat at rest may differ, m; receivers correct their position by as much.
 */
const FIX_ERROR = 10;

type Track = Pick<Soundings, 'count' | 'lat' | 'lon' | 'time'>;

/** Places where a log may have stray or stale fixes; most logs have none. */
export interface SuspectFixes {
  /** Rows that cannot be reached from the previous row at a possible speed, ascending. */
  readonly apart: readonly number[];
  /** True when a position stays unchanged for longer than is credible for a boat under way. */
  readonly isHeld: boolean;
}

/** @param seconds As for `findStale`. */
export function findSuspectFixes(log: Track, rules: JumpRules, seconds: number): SuspectFixes {
  const scale = createScale();
  const apart: number[] = [];
  for (let from = 1; from < log.count; from += STRETCH)
    findApartIn(log, rules, scale, apart, from, Math.min(from + STRETCH, log.count));
  return { apart, isHeld: isHeldLonger(log, seconds) };
}

function findApartIn(
  { lat, lon, time }: Track,
  { speed, jump }: JumpRules,
  scale: Scale,
  apart: number[],
  from: number,
  to: number,
): void {
  for (let i = from; i < to; i++) {
    scaleAt(scale, lat[i]);
    const east = shortTurn(lon[i] - lon[i - 1]) * scale.perLon;
    const north = (lat[i] - lat[i - 1]) * scale.perLat;
    const distance = Math.sqrt(east * east + north * north);
    if (!isReachable(distance, time[i] - time[i - 1], speed, jump)) apart.push(i);
  }
}

/** True when a boat can be this far away after that time; where times are missing or equal, after any. */
function isReachable(distance: number, time: number, speed: number, jump: number): boolean {
  const seconds = Math.abs(time);
  return seconds > 0 ? distance <= speed * seconds + FIX_ERROR : distance <= jump;
}

function isHeldLonger({ count, lat, lon, time }: Track, seconds: number): boolean {
  let first = 0;
  for (let i = 1; i < count; i++) {
    if (lat[i] === lat[first] && lon[i] === lon[first]) continue;
    if (time[i - 1] - time[first] > seconds) return true;
    first = i;
  }
  return false;
}

export interface JumpRules {
  /** Fastest possible, m/s. */
  readonly speed: number;
  /** Longest step where times are missing or equal and give no speed, m. */
  readonly jump: number;
  /** More than this many fixes that agree with each other count as a true position. */
  readonly agree: number;
}

/**
 * Stray fixes of a log: rows that cannot be reached from the last good row at a possible speed, unless many
 * of them agree with each other.
 *
 * When more than `agree` rows in a row agree with each other, the new place is taken as true from its first
 * row. If the stretch before it was no longer than `agree`, that stretch is stray instead (a bad fix at the
 * start).
 * @param apart As in `SuspectFixes`: while nothing is in doubt, only these rows need checking.
 * @param skip Rows already removed.
 * @returns Rows, ascending, and the longest jump among them, m.
 */
export function findJumps(
  log: Track,
  { speed, jump, agree }: JumpRules,
  apart: readonly number[],
  skip: readonly number[] = [],
): { rows: number[]; farthest: number } {
  const { count, lat, lon, time } = log;
  const rows: number[] = [];
  let farthest = 0;
  const isSkipped = new Uint8Array(count);
  for (const row of skip) isSkipped[row] = 1;
  const isPossible = (from: number, to: number): boolean =>
    isReachable(distanceBetween(lat[from], lon[from], lat[to], lon[to]), time[to] - time[from], speed, jump);
  let good = 0;
  // Good rows since the last accepted jump (undefined once there are enough to trust), and rows in doubt
  // since the last good one.
  let stretch: number[] | undefined = count > 0 ? [0] : undefined;
  let suspects: number[] = [];
  let agreeing = 0;
  let next = 0;
  for (let i = 1; i < count; i++) {
    if (stretch === undefined && suspects.length === 0) {
      while (next < apart.length && apart[next] < i) next++;
      if (next === apart.length) break;
      i = apart[next];
      good = i - 1;
      while (isSkipped[good] === 1) good--;
    }
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
  // At the end, the shorter of the doubtful rows and the good stretch before them is stray; neither is when
  // they are equally long.
  if (suspects.length > 0) {
    if (stretch === undefined || stretch.length > suspects.length)
      for (const row of suspects) drop(row, good);
    else if (stretch.length < suspects.length) for (const row of stretch) drop(row, suspects[0]);
  }
  return { rows: rows.sort((a, b) => a - b), farthest };

  function drop(row: number, from: number): void {
    rows.push(row);
    farthest = Math.max(farthest, distanceBetween(lat[from], lon[from], lat[row], lon[row]));
  }
}

/**
 * Rows of stale fixes: a position repeated unchanged for longer than `seconds`, followed by a jump that shows
 * the boat was under way. The first row at the position is kept.
 *
 * @param moving Speed from which the boat counts as under way, m/s.
 */
export function findStale(log: Track, seconds: number, moving: number): number[] {
  const { count, lat, lon, time } = log;
  const rows: number[] = [];
  let start = 0;
  while (start < count) {
    let end = start;
    while (end + 1 < count && lat[end + 1] === lat[start] && lon[end + 1] === lon[start]) end++;
    const held = time[end] - time[start];
    if (held > seconds && end + 1 < count) {
      const way = distanceBetween(lat[start], lon[start], lat[end + 1], lon[end + 1]);
      if (way / (time[end + 1] - time[start]) > moving) for (let i = start + 1; i <= end; i++) rows.push(i);
    }
    start = end + 1;
  }
  return rows;
}
