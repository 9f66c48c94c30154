import { range } from 'es-toolkit/math';
import type { CastPlan } from '../../shared/contract/index.ts';
import { rowRuns } from '../../shared/math/index.ts';
import { NEAR_BOTTOM } from '../../shared/retrieve/index.ts';

/** Runs of consecutive indices below `count` that pass a test. */
export const runsWhere = (count: number, isIn: (i: number) => boolean): number[][] =>
  [...rowRuns(count, (i, from) => isIn(i) === isIn(from))]
    .filter(([from]) => isIn(from))
    .map(([from, to]) => range(from, to));

/**
 * Pieces of a cast on which the modeled lure is on bottom, m from the boat, ascending. On bottom means within 0.3
 * m of the bottom, as for the contact length. Clearance is linear between points of the profile.
 */
export function contactSegments({ profile }: CastPlan): [from: number, to: number][] {
  const { distance, bottom, lure } = profile;
  const gap = (i: number): number => bottom[i] - lure[i];
  // A lure that has just landed in very shallow water is not on bottom yet.
  const isOnBottom = (i: number): boolean => lure[i] >= NEAR_BOTTOM && gap(i) <= NEAR_BOTTOM;
  /** Where contact ends between a point and its neighbor, m from the boat; the point itself if no gap opens. */
  const crossing = (on: number, off: number): number =>
    gap(off) > NEAR_BOTTOM
      ? distance[on] + ((NEAR_BOTTOM - gap(on)) / (gap(off) - gap(on))) * (distance[off] - distance[on])
      : distance[on];
  return runsWhere(distance.length, isOnBottom).map((run) => {
    const [first, last] = [run[0], run.at(-1)!];
    return [crossing(first, first - 1), crossing(last, last + 1)];
  });
}
