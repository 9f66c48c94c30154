import type { CastPlan, Waypoint } from '../contract/index.ts';
import type { LocalFrame } from '../geo/index.ts';
import { distanceToSegment } from './hazards.ts';

/** A cast passes over a mark within this of its line, m, and a boat sits by one within this. */
export const OVER_MARK = 15;
export const BY_BOAT = 20;
/** Marks this near the mark itself are of the same fish, m. */
const SAME_FISH = 5;

/**
 * Names of the marks that casts of one mark go over, and that their boats sit by; each once.
 *
 * @param frame About the mark.
 */
export function otherMarksAt(
  plans: readonly CastPlan[],
  frame: LocalFrame,
  waypoints: readonly Waypoint[],
): { readonly crossed: readonly string[]; readonly crowded: readonly string[] } {
  const crossed = new Set<string>();
  const crowded = new Set<string>();
  for (const { lat, lon, name } of waypoints) {
    // Most marks are elsewhere on the lake: latitude alone tells.
    if (Math.abs(lat - frame.lat) > FARTHEST) continue;
    const [east, north] = frame.toLocal(lat, lon);
    if (Math.hypot(east, north) <= SAME_FISH) continue;
    for (const { boat, landing } of plans) {
      if (Math.hypot(east - boat.east, north - boat.north) <= BY_BOAT) crowded.add(name);
      else if (distanceToSegment({ east, north }, boat, landing) <= OVER_MARK) crossed.add(name);
    }
  }
  return { crossed: [...crossed].filter((name) => !crowded.has(name)), crowded: [...crowded] };
}

/** deg of latitude; more than any cast and a boat beside it. */
const FARTHEST = 0.003;
