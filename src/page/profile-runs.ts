import { range } from 'es-toolkit/math';
import type { CastPlan } from '../../shared/contract/index.ts';
import { rowRuns } from '../../shared/math/index.ts';
import { NEAR_BOTTOM } from '../../shared/retrieve/index.ts';

/** Finds the runs of consecutive indices, 0 to `count - 1`, for which `isIn` returns true. */
export const runsWhere = (count: number, isIn: (i: number) => boolean): number[][] =>
  [...rowRuns(count, (i, from) => isIn(i) === isIn(from))]
    .filter(([from]) => isIn(from))
    .map(([from, to]) => range(from, to));

/**
 * Finds the pieces of a cast where the modeled lure is within `NEAR_BOTTOM` of the bottom. Clearance is
 * interpolated linearly between the points of the profile.
 *
 * @returns Start and end of each piece, m from the boat, ascending.
 */
export function contactSegments({ profile }: CastPlan): [from: number, to: number][] {
  const { distance, bottom, lure } = profile;
  const gap = (i: number): number => bottom[i] - lure[i];
  // A lure that has just landed is not on bottom yet, even where the water is shallower than `NEAR_BOTTOM`.
  const isOnBottom = (i: number): boolean => lure[i] >= NEAR_BOTTOM && gap(i) <= NEAR_BOTTOM;
  /**
   * Returns where contact ends between the point `on` and its neighbor `off`, m from the boat: at `on` itself
   * when the neighbor is missing or has no more clearance than `NEAR_BOTTOM`.
   */
  const crossing = (on: number, off: number): number =>
    gap(off) > NEAR_BOTTOM
      ? distance[on] + ((NEAR_BOTTOM - gap(on)) / (gap(off) - gap(on))) * (distance[off] - distance[on])
      : distance[on];
  return runsWhere(distance.length, isOnBottom).map((run) => {
    const [first, last] = [run[0], run.at(-1)!];
    return [crossing(first, first - 1), crossing(last, last + 1)];
  });
}
