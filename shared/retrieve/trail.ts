import type { CastLine } from './cast-lines.ts';
import { castThrough, type DiveTable } from './dive-table.ts';
import type { Fish } from './fish.ts';
import { NEAR_BOTTOM } from './touch.ts';

/** How far a cast may fall short or go over, as a share of it: 10 %. */
export const CAST_SPREAD = 0.1;
/** Ratio of each cast tried to the next shorter one; two steps make the spread. */
export const CAST_RATIO = Math.sqrt(1 + CAST_SPREAD);
/** Most casts with a score, including two at either end for casts that go over or fall short. */
export const MAX_CASTS = 64;

export type Trail = ReturnType<typeof emptyTrail>;

/** Scratch: values of the dive table for the water at every meter from one boat position. @param meters Longest trail, m. */
export const emptyTrail = (meters: number) => ({
  /** Meters filled. */
  count: 0,
  /** Cast whose free path meets the bottom there, m. */
  onBottom: new Float64Array(meters),
  /** Shortest cast, m, whose free path is near the bottom there or at the depth of suspended fish. */
  least: new Float64Array(meters),
  /** Longest cast, m, whose free path is at the depth of suspended fish there; infinite for fish on the bottom. */
  most: new Float64Array(meters),
  /** Density of the fish there. */
  fish: new Float64Array(meters),
  /** Score of a retrieve from there on, once the bottom has held the lure up there. */
  rest: new Float64Array(meters),
  /** Score of each cast tried, by its index; negative where it is not computed yet. */
  score: new Float64Array(MAX_CASTS),
});

/** Fills the trail: looks up the water along a line in a dive table. */
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

/** Mean score of a cast that falls short, goes as meant and goes over. @param k Index of the cast among those tried. */
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
 * Length of a retrieve among the fish, weighted by their density, m.
 *
 * In free water the lure stays on the free path of one cast; where the bottom holds it up, it moves to the free path that
 * meets the bottom there, whatever the cast was.
 *
 * @param from Meter from which the lure comes; `rest` is known there and nearer to the boat.
 * @param run Cast on whose free path the lure comes, m.
 */
function lengthFrom({ onBottom, least, most, fish, rest }: Trail, from: number, run: number): number {
  let length = 0;
  for (let i = from; i >= 2; i--) {
    if (run >= least[i] && run <= most[i]) length += fish[i];
    if (run > onBottom[i]) return length + rest[i];
  }
  return length;
}
