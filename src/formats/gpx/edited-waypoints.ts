import type { Edit } from './edits.ts';
import type { GpxDocument, Span } from './gpx-document.ts';
import type { AdditionPlan } from './plan-additions.ts';

/** A waypoint in the edited text together with the boat positions put after it. */
export interface EditedWaypoint extends Span {
  /** Waypoints in the span, 1 or more. */
  readonly count: number;
}

/** Positions of the waypoints in the edited text, in order. @param edits Edits in order. */
export function editedWaypoints(
  { waypoints }: GpxDocument,
  plan: AdditionPlan,
  edits: readonly Edit[],
): readonly EditedWaypoint[] {
  let next = 0;
  let shift = 0;
  /** Position in the edited text of a position in the input, after anything inserted there. */
  const moved = (at: number): number => {
    for (; next < edits.length && edits[next].end <= at; next++) {
      shift += edits[next].bytes.length - (edits[next].end - edits[next].start);
    }
    return at + shift;
  };
  return waypoints
    .filter(({ fileIndex }) => !plan.removed.has(fileIndex))
    .map(({ place, fileIndex }) => {
      const start = moved(place.start);
      const partners = plan.additions.get(fileIndex)?.partners.length ?? 0;
      return { start, end: moved(place.end), count: 1 + partners };
    });
}
