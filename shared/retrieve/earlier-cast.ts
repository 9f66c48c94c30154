import type { CastPlan, EarlierCast } from '../contract/index.ts';
import { geodesicInverse } from '../geo/index.ts';
import { turnBetween } from './cast-rules.ts';

/** A cast has changed when it turned by more than this, deg. */
export const TURNED = 45;
/** A cast has changed when its boat moved farther than this, m. */
export const MOVED = 15;

/** How far a cast has turned, deg, and its boat moved, m, since an earlier plan. @returns undefined when it has not changed. */
export function changeSince(
  { boat, landing }: EarlierCast,
  plan: Pick<CastPlan, 'boat' | 'bearing'>,
): { readonly turn: number; readonly distance: number } | undefined {
  const { bearing } = geodesicInverse(boat.lat, boat.lon, landing.lat, landing.lon);
  const turn = turnBetween(bearing, plan.bearing);
  const { distance } = geodesicInverse(boat.lat, boat.lon, plan.boat.lat, plan.boat.lon);
  return turn > TURNED || distance > MOVED ? { turn, distance } : undefined;
}
