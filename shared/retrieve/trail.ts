import type { CastLine } from './cast-lines.ts';
import { castThrough, type DiveTable } from './dive-table.ts';
import type { Fish } from './fish.ts';
import { NEAR_BOTTOM } from './touch.ts';

/** Share of the planned length by which a cast may fall short or go over; judgment. */
export const CAST_SPREAD = 0.1;
/** Ratio of each tried cast to the next shorter one; two steps make a factor of 1 + `CAST_SPREAD`. */
export const CAST_RATIO = Math.sqrt(1 + CAST_SPREAD);
/** Maximum number of scores, including two at each end for casts that go over or fall short. */
export const MAX_CASTS = 64;

export type Trail = ReturnType<typeof emptyTrail>;

/** Allocates a trail: values for each meter from the boat along a line. @param meters Maximum length, m. */
export const emptyTrail = (meters: number) => ({
  /** Number of meters filled. */
  count: 0,
  /** Length of the cast whose free path meets the bottom at this meter, m. */
  onBottom: new Float64Array(meters),
  /** Length of the shortest cast whose free path is near the bottom, or at the depth of suspended fish, m. */
  least: new Float64Array(meters),
  /** Length of the longest cast whose free path is among suspended fish, m; infinite for fish on bottom. */
  most: new Float64Array(meters),
  /** Expected density of the fish at this meter. */
  fish: new Float64Array(meters),
  /** Length among the fish from this meter to the boat, for a lure on bottom at this meter, m. */
  rest: new Float64Array(meters),
  /** Length among the fish of each tried cast, m; negative until computed. */
  score: new Float64Array(MAX_CASTS),
});

export function layTrail(
  trail: Trail,
  table: DiveTable,
  line: CastLine,
  boat: number,
  longest: number,
  { suspended }: Fish,
): void {
  const { onBottom, least, most, fish, rest, score } = trail;
  const { depth: grounds, fish: sums } = line;
  trail.count = Math.min(Math.floor(longest) + 1, grounds.length - boat);
  let depth = 0;
  for (let i = 0, at = boat; i < trail.count; i++, at++) {
    const ground = grounds[at];
    // Beyond the modeled bottom, the last depth continues.
    if (!Number.isNaN(ground)) depth = Math.max(ground, 0);
    onBottom[i] = castThrough(table, i, depth);
    least[i] = castThrough(table, i, suspended?.top ?? Math.max(depth - NEAR_BOTTOM, 0));
    most[i] = suspended === undefined ? Number.POSITIVE_INFINITY : castThrough(table, i, suspended.bottom);
    fish[i] = sums[at + 1] - sums[at];
  }
  score.fill(-1);
  for (let i = 2; i < trail.count; i++)
    if (onBottom[i] < longest) rest[i] = lengthFrom(trail, i - 1, onBottom[i]);
}

/** Returns the mean score of a cast, a longer and a shorter one, m. @param k Index of the cast in `score`. */
export function meanScore(trail: Trail, k: number, cast: number): number {
  const over = scoreOf(trail, k - 2, cast * (1 + CAST_SPREAD));
  const short = scoreOf(trail, k + 2, cast / (1 + CAST_SPREAD));
  return (over + scoreOf(trail, k, cast) + short) / 3;
}

function scoreOf(trail: Trail, k: number, cast: number): number {
  const { score, count } = trail;
  if (score[k] < 0) score[k] = lengthFrom(trail, Math.min(Math.floor(cast), count - 1), cast);
  return score[k];
}

/**
 * Returns the length of a retrieve among the fish, weighted by their density, m.
 *
 * The lure moves as `diveTable` says. Where the bottom holds the lure up, `rest` has the remaining length.
 *
 * @param from Meter from the boat at which the lure starts; `rest` must be known from there to the boat.
 * @param run Length of the cast on whose free path the lure starts, m.
 */
function lengthFrom({ onBottom, least, most, fish, rest }: Trail, from: number, run: number): number {
  let length = 0;
  for (let i = from; i >= 2; i--) {
    if (run >= least[i] && run <= most[i]) length += fish[i];
    if (run > onBottom[i]) return length + rest[i];
  }
  return length;
}
