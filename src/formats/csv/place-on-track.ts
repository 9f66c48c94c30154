import type { SoundingLog } from '../../../shared/contract/index.ts';
import { distanceBetween } from '../../../shared/survey/index.ts';
import { offTrackDropped } from '../../../shared/text/index.ts';
import type { Fixes } from './fixes.ts';
import { pickRows } from './log-checks.ts';
import type { Tally } from './tally.ts';

/**
 * Longest gap between two fixes in which a sounding is placed, s. Up to `REST_GAP` s is allowed when the boat moved no
 * more than `REST_WAY` m.
 */
const LONGEST_GAP = 30;
const REST_GAP = 600;
const REST_WAY = 10;

/**
 * Soundings of a log without positions, placed on tracks by time along a straight line between two fixes.
 *
 * A sounding between fixes more than 30 s apart (10 minutes where the boat stayed within 10 m), between two
 * segments, or outside the tracks is dropped and counted.
 *
 * @param clockOffset Seconds added to the log's times to give the times of the tracks.
 */
export function placeOnTrack(
  part: SoundingLog,
  fixes: Fixes,
  clockOffset: number,
  tally: Tally,
): SoundingLog {
  const kept: number[] = [];
  const { time, lat, lon } = part;
  let at = 0;
  for (let i = 0; i < part.count; i++) {
    if (!Number.isNaN(lat[i])) {
      kept.push(i);
      continue;
    }
    time[i] += clockOffset;
    at = findFix(fixes, time[i], at);
    const place = placeBetween(fixes, at, time[i]);
    if (place === undefined) {
      tally.drop(offTrackDropped({ file: part.file, line: part.line[i] }));
      continue;
    }
    [lat[i], lon[i]] = place;
    kept.push(i);
  }
  return kept.length === part.count ? part : pickRows(part, kept);
}

/** Index of the last fix at or before a time, searched from a guess; -1 before the first. */
export function findFix({ time, count }: Fixes, t: number, guess: number): number {
  let at = Math.max(0, Math.min(guess, count - 1));
  if (time[at] > t || (at + 1 < count && time[at + 1] <= t)) {
    let low = -1;
    let high = count;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (time[middle] <= t) low = middle;
      else high = middle;
    }
    at = low;
  }
  return at;
}

/** Position at a time between a fix and the next; undefined where the track has a gap. */
export function placeBetween(fixes: Fixes, at: number, t: number): [lat: number, lon: number] | undefined {
  const { time, lat, lon, segment, count } = fixes;
  if (at < 0 || Number.isNaN(t)) return undefined;
  if (time[at] === t) return [lat[at], lon[at]];
  if (at + 1 >= count) return undefined;
  const gap = time[at + 1] - time[at];
  if (segment[at] !== segment[at + 1] || gap > REST_GAP) return undefined;
  if (gap > LONGEST_GAP && distanceBetween(lat[at], lon[at], lat[at + 1], lon[at + 1]) > REST_WAY)
    return undefined;
  const share = (t - time[at]) / gap;
  let turn = lon[at + 1] - lon[at];
  if (Math.abs(turn) > 180) turn -= 360 * Math.sign(turn);
  const placed = lon[at] + share * turn;
  return [
    lat[at] + share * (lat[at + 1] - lat[at]),
    placed > 180 ? placed - 360 : placed < -180 ? placed + 360 : placed,
  ];
}
