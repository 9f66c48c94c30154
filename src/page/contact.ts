import type { CastPlan } from '../../shared/contract/index.ts';
import { NEAR_BOTTOM } from '../../shared/retrieve/index.ts';

/**
 * Pieces of a cast on which the modeled lure is on bottom, m from the boat, ascending. On bottom means within 0.3
 * m of it, as for the contact length. Clearance is linear between points of the profile.
 */
export function contactSegments({ profile }: CastPlan): [from: number, to: number][] {
  const { distance } = profile;
  const pieces: [number, number][] = [];
  let open: [number, number] | undefined;
  for (let i = 0; i < distance.length; i += 1) {
    if (!isOnBottom(profile, i)) {
      if (open !== undefined) open[1] = crossing(profile, i - 1, i);
      open = undefined;
      continue;
    }
    if (open === undefined) {
      open = [i === 0 ? distance[0] : crossing(profile, i, i - 1), distance[i]];
      pieces.push(open);
    }
    open[1] = distance[i];
  }
  return pieces;
}

/** A lure that has just landed in very shallow water is not on bottom yet. */
const isOnBottom = ({ bottom, lure }: CastPlan['profile'], i: number): boolean =>
  lure[i] >= NEAR_BOTTOM && bottom[i] - lure[i] <= NEAR_BOTTOM;

/** Distance at which the clearance crosses the limit, between a point on bottom and a neighbor off bottom. */
function crossing({ distance, bottom, lure }: CastPlan['profile'], on: number, off: number): number {
  const [near, far] = [bottom[on] - lure[on], bottom[off] - lure[off]];
  if (!(far > NEAR_BOTTOM)) return distance[on];
  return distance[on] + ((NEAR_BOTTOM - near) / (far - near)) * (distance[off] - distance[on]);
}
