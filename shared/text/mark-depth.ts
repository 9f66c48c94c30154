import type { DisplayUnits, Waypoint } from '../contract/index.ts';
import { depthsInNote } from './depth-roles.ts';
import { withoutOwnSummary } from './fish-note.ts';
import { metersOf } from './written-depth.ts';

/** Depth that a mark itself carries. */
export interface MarkDepth {
  /** m, positive down, > 0; as the sonar showed it on the day of the mark. */
  readonly depth: number;
  /** False when no unit is written with it and one was assumed: it may be feet read as meters, or meters read as feet. */
  readonly isUnitKnown: boolean;
  /** `extension`: an element of the GPX file; `text`: name, comment or description. */
  readonly source: 'extension' | 'text';
}

/** m; nobody marks bass deeper, and a greater number is a slip or another thing. */
const DEEPEST = 100;

/**
 * Depth of the ground under a mark as the mark itself tells it: its depth element, else its words.
 *
 * Words count when they are said of the place alone ("depth 21", "21 ft deep", "21 feet of water"), not of the fish,
 * a lure or a structure ("channel 35 ft deep"), and not as a range. Texts are looked through in the order comment,
 * description, name; the first depth found is taken.
 *
 * @param units Unit of a number in the texts that has none.
 * @returns undefined when the mark tells none, or one that cannot be (0, or more than 100 m).
 */
export function markDepthOf(
  waypoint: Pick<Waypoint, 'name' | 'comment' | 'description' | 'depth' | 'isDepthUnitKnown'>,
  units: DisplayUnits,
): MarkDepth | undefined {
  const { depth, isDepthUnitKnown = true } = waypoint;
  if (depth !== undefined && isPossible(depth))
    return { depth, isUnitKnown: isDepthUnitKnown, source: 'extension' };
  for (const text of [waypoint.comment, waypoint.description, waypoint.name]) {
    for (const { part, isDepthHere } of depthsInNote(withoutOwnSummary(text), false)) {
      const [meters] = metersOf(part, units);
      if (isDepthHere && isPossible(meters))
        return { depth: meters, isUnitKnown: part.units[0] !== undefined, source: 'text' };
    }
  }
  return undefined;
}

const isPossible = (depth: number): boolean => depth > 0 && depth <= DEEPEST;
