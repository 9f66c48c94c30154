import type { CastPlan, EarlierCast } from '../contract/index.ts';
import { geodesicInverse } from '../geo/index.ts';
import { turnBetween } from './cast-rules.ts';

/** Turn beyond which a cast has changed, deg. Chosen. */
export const TURNED = 45;
/** Move of the boat beyond which a cast has changed, m. Chosen. */
export const MOVED = 15;

/**
 * Compares a plan with an earlier cast.
 *
 * @returns `turn` of the bearing, deg, and `distance` between the boats, m; undefined if the cast has not
 * changed.
 */
export function changeSince(
  { boat, landing }: EarlierCast,
  plan: Pick<CastPlan, 'boat' | 'bearing'>,
): { readonly turn: number; readonly distance: number } | undefined {
  const { bearing } = geodesicInverse(boat.lat, boat.lon, landing.lat, landing.lon);
  const turn = turnBetween(bearing, plan.bearing);
  const { distance } = geodesicInverse(boat.lat, boat.lon, plan.boat.lat, plan.boat.lon);
  return turn > TURNED || distance > MOVED ? { turn, distance } : undefined;
}
