import type { CastPlan, Waypoint } from '../contract/index.ts';
import type { LocalFrame } from '../geo/index.ts';
import { distanceToSegment } from './hazards.ts';

/** Maximum distance between a mark and the line of a cast over the mark, m. */
export const OVER_MARK = 15;
/** Maximum distance between a mark and a boat that sits by the mark, m. */
export const BY_BOAT = 20;
/** Maximum distance between two marks for the same fish, m. */
const SAME_FISH = 5;

/**
 * Finds other marks that the casts of a mark go over (`crossed`) or that its boats sit by (`crowded`).
 *
 * @param frame Local frame of the mark.
 * @returns Names without repeats, and without marks for the same fish. A mark that is both is in `crowded`
 *   alone.
 */
export function otherMarksAt(
  plans: readonly CastPlan[],
  frame: LocalFrame,
  waypoints: readonly Waypoint[],
): { readonly crossed: readonly string[]; readonly crowded: readonly string[] } {
  const crossed = new Set<string>();
  const crowded = new Set<string>();
  for (const { lat, lon, name } of waypoints) {
    // Latitude alone rules out most marks, because few are near this one.
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

/** Difference in latitude beyond the reach of any cast, deg: over 300 m. */
const FARTHEST = 0.003;
