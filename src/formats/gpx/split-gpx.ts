import { max, sum } from 'd3-array';
import { Refusal } from '../../../shared/contract/index.ts';
import { gpxOutputMessages as says } from '../../../shared/text/index.ts';
import { applyEdits, type Edit, movedBy } from './edits.ts';
import { encodeFile } from './encoding.ts';
import type { EnrichedPart, GpxDocument, Span } from './gpx-document.ts';
import { startOfSpace } from './layout.ts';
import type { AdditionPlan } from './plan-additions.ts';
import { removeWithSpace } from './waypoint-edits.ts';

/** A waypoint in the edited text together with the boat positions put after it. */
export interface EditedWaypoint extends Span {
  /** Number of waypoints in the span, 1 or more. */
  readonly count: number;
}

/** Positions of the root's start tag and of the waypoints in an edited text. */
export interface EditedPlaces {
  readonly startTagEnd: number;
  /** Waypoints in the order of the text. */
  readonly waypoints: readonly EditedWaypoint[];
}

/** Returns the positions in the edited text. The edits must be ordered by `orderEdits`. */
export function editedPlaces(
  { root, waypoints }: GpxDocument,
  plan: AdditionPlan,
  edits: readonly Edit[],
): EditedPlaces {
  const moved = movedBy(edits);
  return {
    startTagEnd: moved(root.startTagEnd),
    waypoints: waypoints
      .filter(({ fileIndex }) => !plan.removed.has(fileIndex))
      .map(({ place, fileIndex }) => {
        const start = moved(place.start);
        const partners = plan.additions.get(fileIndex)?.partners.length ?? 0;
        return { start, end: moved(place.end), count: 1 + partners };
      }),
  };
}

/**
 * Splits an edited file into parts of at most `limit` waypoints each, if it has more than `limit`.
 *
 * A waypoint and the boat positions put after it stay together. Everything that is not a waypoint stays in
 * the first part.
 *
 * @throws Refusal when one waypoint with its boat positions exceeds the limit.
 */
export function splitEdited(
  document: GpxDocument,
  edited: Uint8Array,
  bytes: Uint8Array,
  { startTagEnd, waypoints }: EditedPlaces,
  limit: number | undefined,
): readonly EnrichedPart[] {
  const total = sum(waypoints, ({ count }) => count);
  if (limit === undefined || total <= limit) return [{ suffix: '', bytes, waypoints: total }];
  const most = max(waypoints, ({ count }) => count)!;
  if (most > limit) throw new Refusal([says.split({ file: document.file }, limit, most)]);
  return groupsOf(waypoints, limit).map((group, index) => {
    const members = new Set(group);
    const text =
      index === 0
        ? applyEdits(
            edited,
            waypoints
              .filter((waypoint) => !members.has(waypoint))
              .map((waypoint) => removeWithSpace(edited, waypoint)),
          )
        : only(document, edited, startTagEnd, group);
    return {
      suffix: `-${index + 1}`,
      bytes: encodeFile(text, document.encoding),
      waypoints: sum(group, ({ count }) => count),
    };
  });
}

function groupsOf(waypoints: readonly EditedWaypoint[], limit: number): EditedWaypoint[][] {
  const groups: EditedWaypoint[][] = [[]];
  let room = limit;
  for (const waypoint of waypoints) {
    if (waypoint.count > room) {
      groups.push([]);
      room = limit;
    }
    groups[groups.length - 1].push(waypoint);
    room -= waypoint.count;
  }
  return groups;
}

/** Returns a document with the root and the elements at these positions, and nothing else. */
function only(
  document: GpxDocument,
  edited: Uint8Array,
  startTagEnd: number,
  spans: readonly Span[],
): Uint8Array {
  const tailLength = document.utf8.length - document.root.endTagStart;
  const tail = startOfSpace(edited, edited.length - tailLength);
  return Buffer.concat([
    edited.subarray(0, startTagEnd),
    ...spans.map(({ start, end }) => edited.subarray(startOfSpace(edited, start), end)),
    edited.subarray(tail),
  ]);
}
