import { bisectRight } from 'd3-array';
import type { SoundingLog } from '../../../shared/contract/index.ts';
import { metersPerDegree } from '../../../shared/geo/index.ts';
import { pickRows } from '../../../shared/math/index.ts';
import { distanceBetween, shortTurn } from '../../../shared/survey/index.ts';
import { soundingMessages as says } from '../../../shared/text/index.ts';
import type { Fixes } from './fixes.ts';
import type { Tally } from './tally.ts';

/** Maximum time between the fixes before and after a sounding, s; judgment. */
const LONGEST_GAP = 30;
/** Maximum time between the fixes before and after a sounding if the boat was at rest, s; judgment. */
const REST_GAP = 600;
/** Maximum distance between two fixes of a boat at rest, m; judgment. */
const REST_WAY = 10;

/**
 * Places soundings without positions on tracks, by time along the straight line between two fixes.
 *
 * A sounding is dropped and counted if it has no time, is outside the tracks, is between two segments, or is
 * in a long gap between fixes. A gap may be longer where the boat was at rest.
 *
 * @param clockOffset Seconds to add to the log's times to get the times of the tracks.
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

/**
 * Maximum clock offset tried, s, in either direction; judgment. Clocks set by hand are mostly off by less. An
 * offset of whole hours comes from a time zone and is not tried.
 */
const FARTHEST = 120;
/** Step between offsets in the first search, over the whole range, s; judgment. */
const COARSE = 2;
/** Step between offsets in the second search, around the best offset, s; judgment. */
const FINE = 0.25;
/** Maximum number of soundings used to find an offset; judgment. */
const MOST = 4000;
/** Side of the square cells in which depths are compared, m; judgment. */
const SAME_PLACE = 5;
/** Minimum time between two separate visits to a cell, s; judgment. */
const OTHER_VISIT = 45;
/** Minimum number of pairs of visits for finding an offset; judgment. */
const FEWEST_PAIRS = 60;
/** Maximum ratio of the mean difference in depth at an accepted offset to that at offset 0; judgment. */
const BETTER = 0.7;
/** Cap on a difference in depth, m, so that spikes do not decide; judgment. */
const MAX_DIFFERENCE = 2;
/** Constant in the formula at RIVAL, m; judgment. */
const MIN_MEAN = 0.02;
/** Offsets farther than this from the best offset, s, are its rivals; judgment. */
const RIVAL_AWAY = 10;
/** The best offset is used only if each rival's mean is RIVAL * (best mean) + MIN_MEAN or more; judgment. */
const RIVAL = 1.25;

/**
 * Finds how many seconds a log's clock is behind the clock of its tracks. With the right offset, depths agree
 * best where the boat passed the same place twice.
 *
 * Returns 0 unless an offset makes depths agree at least 30 % better and no other offset is nearly as good.
 * The offset is accurate to about a second if the boat crossed slopes.
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
      // An offset that moves soundings off the tracks leaves fewer places where depths can disagree.
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
 * Compares the depths of consecutive visits to a cell after the log's times are shifted by `offset`, s.
 *
 * @returns `placed`: number of soundings on the tracks. `pairs`: number of pairs of visits. `mean`: mean
 * absolute difference in depth of the pairs, m, each capped at MAX_DIFFERENCE; 0 without pairs.
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
