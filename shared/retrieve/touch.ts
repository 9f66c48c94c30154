import { max } from 'd3-array';
import type { DepthRange } from '../contract/index.ts';
import { type BottomProfile, profileDepth, type RetrievePath } from './path.ts';

/** A lure at most this far above the bottom is on bottom, m: the modeled bottom is no more accurate. */
export const NEAR_BOTTOM = 0.3;

/** Length of the parts of a path that count, m: plain, and weighted by the density of the fish. */
export interface CountedLength {
  readonly length: number;
  readonly weighted: number;
}

/**
 * @param gapAt Difference in depth between the lure and the nearest depth that counts, m; 0 or less at points
 * that count. Between points the gap is linear, so part of a step may count.
 * @param weight Weights at equal spacing from the rod tip.
 */
export function countedLength(
  path: RetrievePath,
  gapAt: (point: number) => number,
  weight: BottomProfile,
): CountedLength {
  let length = 0;
  let weighted = 0;
  let gap = gapAt(0);
  for (let i = 1; i < path.count; i++) {
    const nextGap = gapAt(i);
    if (gap <= 0 || nextGap <= 0) {
      const crossing = gap / (gap - nextGap);
      const enter = gap > 0 ? crossing : 0;
      const leave = gap <= 0 && nextGap > 0 ? crossing : 1;
      const part = (leave - enter) * segment(path, i);
      const share = (enter + leave) / 2;
      length += part;
      weighted +=
        part * profileDepth(weight, path.distance[i - 1] + share * (path.distance[i] - path.distance[i - 1]));
    }
    gap = nextGap;
  }
  return { length, weighted };
}

/** Returns the height of the lure above the bottom at a point of the path, m, >= 0. */
export const clearanceAt = (path: RetrievePath, profile: BottomProfile, i: number): number =>
  Math.max(profileDepth(profile, path.distance[i]) - path.depth[i], 0);

export const greatestDepth = ({ depth, count }: RetrievePath): number => max(depth.subarray(0, count)) ?? 0;

/** Returns the least and greatest depth in a range at which the lure is on bottom, m; undefined if none. */
export function depthsNearBottom(
  path: RetrievePath,
  profile: BottomProfile,
  { top, bottom }: DepthRange,
): readonly [least: number, greatest: number] | undefined {
  let [least, greatest] = [bottom, top];
  for (let i = 1; i < path.count; i++) {
    const depth = path.depth[i];
    if (depth < top || depth > bottom || clearanceAt(path, profile, i) > NEAR_BOTTOM) continue;
    least = Math.min(least, depth);
    greatest = Math.max(greatest, depth);
  }
  return least > greatest ? undefined : [least, greatest];
}

/** Returns the length of the step that ends at a point of the path, m. */
export const segment = (path: RetrievePath, i: number): number => {
  const along = path.distance[i - 1] - path.distance[i];
  const down = path.depth[i] - path.depth[i - 1];
  return Math.sqrt(along * along + down * down);
};
