import type { CastPlan, EarlierCast } from '../contract/index.ts';
import { geodesicInverse } from '../geo/index.ts';
import { turnBetween } from './cast-rules.ts';

/** Maximum difference in bearing between casts that count as the same, deg; judgment. */
export const TURNED = 45;
/** Maximum distance between the boats of casts that count as the same, m; judgment. */
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
