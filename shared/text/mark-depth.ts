import type { DisplayUnits, Waypoint } from '../contract/index.ts';
import { depthsInNote } from './depth-roles.ts';
import { withoutOwnSummary } from './fish-note.ts';
import { isPossibleDepth, metersOf } from './written-depth.ts';

export interface MarkDepth {
  /** Depth as the sonar showed it on the day of the mark, m, positive down, > 0. */
  readonly depth: number;
  /** False when the depth has no unit, so that feet may have been read as meters or the reverse. */
  readonly isUnitKnown: boolean;
  /** `extension`: from an element of the GPX file; `text`: from the name, comment or description. */
  readonly source: 'extension' | 'text';
}

/**
 * Reads the depth of the bottom from a mark: from its depth element, else from its texts.
 *
 * A depth in the texts counts when it describes the place itself ("depth 21", "21 ft deep", "21 feet of
 * water"), not the fish, a lure or a structure ("channel 35 ft deep"), and is not a range. The first such
 * depth in comment, description and name is used.
 *
 * @param units Unit for a number in the texts without one.
 * @returns undefined when the mark states no depth, or only impossible depths (0 or less, over 100 m).
 */
export function markDepthOf(
  waypoint: Pick<Waypoint, 'name' | 'comment' | 'description' | 'depth' | 'isDepthUnitKnown'>,
  units: DisplayUnits,
): MarkDepth | undefined {
  const { depth, isDepthUnitKnown = true } = waypoint;
  if (depth !== undefined && isPossibleDepth(depth))
    return { depth, isUnitKnown: isDepthUnitKnown, source: 'extension' };
  for (const text of [waypoint.comment, waypoint.description, waypoint.name]) {
    for (const { part, isDepthHere } of depthsInNote(withoutOwnSummary(text), false)) {
      const [meters] = metersOf(part, units);
      if (isDepthHere && isPossibleDepth(meters))
        return { depth: meters, isUnitKnown: part.units[0] !== undefined, source: 'text' };
    }
  }
  return undefined;
}
