import { bisectRight } from 'd3-array';
import type { SoundingLog } from '../../../shared/contract/index.ts';
import { metersPerDegree } from '../../../shared/geo/index.ts';
import { pickRows } from '../../../shared/math/index.ts';
import { distanceBetween, shortTurn } from '../../../shared/survey/index.ts';
import { soundingMessages as says } from '../../../shared/text/index.ts';
import type { Fixes } from './fixes.ts';
import type { Tally } from './tally.ts';

/** Longest gap between two fixes in which a sounding is placed, s. */
const LONGEST_GAP = 30;
/** Longest gap between two fixes of a boat at rest, s. */
const REST_GAP = 600;
/** Farthest apart that two fixes of a boat at rest may be, m. */
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
  for (let i = 0; i < part.count; i++) {
    if (!Number.isNaN(lat[i])) {
      kept.push(i);
      continue;
    }
    time[i] += clockOffset;
    const place = placeAt(fixes, time[i]);
    if (place === undefined) {
      tally.drop(says['off-track']({ line: part.line[i] }));
      continue;
    }
    [lat[i], lon[i]] = place;
    kept.push(i);
  }
  return kept.length === part.count ? part : pickRows(part, kept);
}

/** Position at a time between two fixes; undefined outside the track or where it has a gap. */
function placeAt(
  { time, lat, lon, segment, count }: Fixes,
  t: number,
): [lat: number, lon: number] | undefined {
  const at = bisectRight(time, t) - 1;
  if (at < 0 || Number.isNaN(t)) return undefined;
  if (time[at] === t) return [lat[at], lon[at]];
  if (at + 1 >= count) return undefined;
  const gap = time[at + 1] - time[at];
  if (segment[at] !== segment[at + 1] || gap > REST_GAP) return undefined;
  if (gap > LONGEST_GAP && distanceBetween(lat[at], lon[at], lat[at + 1], lon[at + 1]) > REST_WAY)
    return undefined;
  const share = (t - time[at]) / gap;
  const placed = lon[at] + share * shortTurn(lon[at + 1] - lon[at]);
  return [lat[at] + share * (lat[at + 1] - lat[at]), shortTurn(placed)];
}

/** Farthest offset tried either way, s. Clocks set by hand are within two minutes; whole hours come from time zones. */
const FARTHEST = 120;
/** Step between the offsets tried over the whole range, s. */
const COARSE = 2;
/** Step between the offsets tried around the best one, s. */
const FINE = 0.25;
/** Most soundings from which an offset is found. */
const MOST = 4000;
/** Side of the cells that count as one place, m. */
const SAME_PLACE = 5;
/** Visits to a place that are farther apart in time than this are separate, s. */
const OTHER_VISIT = 45;
/** Fewest pairs of visits from which an offset is found. */
const FEWEST_PAIRS = 60;
/** Largest share of the mean difference at offset 0 that may remain at the best offset. */
const BETTER = 0.7;
/** Differences are capped at this, m, so that spikes do not decide. */
const MAX_DIFFERENCE = 2;
/** Margin added to the limit that RIVAL gives, m: soundings cannot show smaller mean differences. */
const MIN_MEAN = 0.02;
/** Offsets farther than this from the best one are its rivals, s. */
const RIVAL_AWAY = 10;
/** No offset is used when the mean difference at a rival is below this many times the least one, plus MIN_MEAN. */
const RIVAL = 1.25;

/**
 * Seconds by which a log's clock is behind the clock of its tracks, found from the bottom itself: with the right
 * offset, depths agree best where the boat passed the same place twice.
 *
 * An offset is used only if it improves agreement by 30 % or more and no other offset is nearly as good. It is then
 * accurate to about a second if the boat crossed slopes. Without enough repeated places the offset stays 0.
 */
export function clockOffsetOf(log: SoundingLog, fixes: Fixes, tally: Tally): number {
  const thin = Math.max(1, Math.ceil(log.count / MOST));
  const thinned = (column: Float64Array | Float32Array) =>
    Array.from(column).filter((_, i) => i % thin === 0);
  const [time, depth] = [thinned(log.time), thinned(log.depth)];
  const disagree = (offset: number) => disagreement(time, depth, fixes, offset);
  const zero = disagree(0);
  const notFound = (): number => {
    const onTrack = time.length === 0 ? 0 : zero.placed / time.length;
    if (onTrack < 0.5) tally.flag(says['track-elsewhere']({}, onTrack));
    return 0;
  };
  if (zero.pairs < FEWEST_PAIRS) return notFound();
  let best = { seconds: 0, mean: zero.mean };
  const seen: { seconds: number; mean: number }[] = [];
  const look = (from: number, to: number, step: number) => {
    for (let seconds = from; seconds <= to; seconds += step) {
      const { mean, pairs, placed } = disagree(seconds);
      // An offset that pushes soundings off the tracks has fewer places where depths can disagree.
      if (pairs < FEWEST_PAIRS || placed < 0.9 * zero.placed) continue;
      seen.push({ seconds, mean });
      if (mean < best.mean) best = { seconds, mean };
    }
  };
  look(-FARTHEST, FARTHEST, COARSE);
  const rival = Math.min(
    ...seen.filter(({ seconds }) => Math.abs(seconds - best.seconds) > RIVAL_AWAY).map(({ mean }) => mean),
  );
  if (best.mean > BETTER * zero.mean || rival < RIVAL * best.mean + MIN_MEAN) return notFound();
  look(best.seconds - COARSE, best.seconds + COARSE, FINE);
  if (best.seconds === 0) return notFound();
  tally.flag(says['clock-offset found']({}, best.seconds, best.mean, zero.mean));
  return best.seconds;
}

/**
 * Mean difference of depth, m, between visits to the same place after the log's times are shifted by `offset`, s, with
 * the numbers of soundings placed and of pairs of visits. The mean is 0 without pairs.
 */
function disagreement(time: readonly number[], depth: readonly number[], fixes: Fixes, offset: number) {
  const [perLat, perLon] = metersPerDegree(fixes.lat[0]);
  const cells = new Map<string, { time: number; depth: number }>();
  let placed = 0;
  let pairs = 0;
  let sum = 0;
  for (let i = 0; i < time.length; i++) {
    const t = time[i] + offset;
    const place = placeAt(fixes, t);
    if (place === undefined) continue;
    placed++;
    const row = Math.floor(((place[0] - fixes.lat[0]) * perLat) / SAME_PLACE);
    const column = Math.floor(((place[1] - fixes.lon[0]) * perLon) / SAME_PLACE);
    const key = `${row},${column}`;
    const before = cells.get(key);
    if (before !== undefined && t - before.time > OTHER_VISIT) {
      pairs++;
      sum += Math.min(Math.abs(depth[i] - before.depth), MAX_DIFFERENCE);
    }
    cells.set(key, { time: t, depth: depth[i] });
  }
  return { placed, pairs, mean: pairs === 0 ? 0 : sum / pairs };
}
