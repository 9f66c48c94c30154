import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';
import * as says from '../../shared/diagnostics/gpx.ts';
import type { GpxDocument, GpxWaypoint, PartnerAddition, WaypointAddition } from './gpx-document.ts';
import { createNearIndex, nearDistance } from './near.ts';

/** A waypoint this near to a new boat position is taken for that boat position, m: how units round. */
const SAME_PLACE = 3;
/** One with the boat position's name and no other sign of ours may be this far off, m. */
const SAME_NAME_PLACE = 25;

/** What becomes of each waypoint of the file. */
export interface AdditionPlan {
  /** By `fileIndex`; nothing for waypoints without additions. */
  readonly additions: ReadonlyMap<number, WaypointAddition>;
  /** Boat positions of an earlier run that go. */
  readonly removed: ReadonlySet<number>;
}

/**
 * Decides which additions are made, which old boat positions go, and which of the person's stay.
 */
export function planAdditions(
  document: GpxDocument,
  additions: readonly WaypointAddition[],
  report: (diagnostic: Diagnostic) => void,
): AdditionPlan {
  const { waypoints } = document;
  const removed = new Set<number>();
  for (const { fileIndex, partner } of waypoints) {
    if (partner?.by === 'element' || partner?.by === 'signature') removed.add(fileIndex);
  }
  const kept = createNearIndex(waypoints.filter(({ fileIndex }) => !removed.has(fileIndex)));
  const planned = new Map<number, WaypointAddition>();
  const standIns = new Set<number>();
  for (const addition of additions) {
    const waypoint = waypoints[addition.fileIndex];
    if (waypoint === undefined)
      throw new Error(`Addition to waypoint ${addition.fileIndex} of ${waypoints.length}.`);
    if (waypoint.partner !== undefined) continue;
    const partners = addition.partners.filter((partner) => {
      const stand = standIn(document, waypoint, partner, kept);
      if (stand === undefined) return true;
      if (stand.partner?.by === 'name' && nearDistance(stand, partner) <= SAME_NAME_PLACE) {
        removed.add(stand.fileIndex);
        return true;
      }
      if (stand.partner === undefined) standIns.add(stand.fileIndex);
      report(says.boatPositionKept(placeOf(stand)));
      return false;
    });
    planned.set(addition.fileIndex, { ...addition, partners });
  }
  // A waypoint that stands where a boat position belongs is not a mark to be enriched.
  for (const fileIndex of standIns) planned.delete(fileIndex);
  reportReplaced(document, planned, removed, report);
  return { additions: planned, removed };
}

/** The waypoint of the person's that already stands for a boat position, if any. */
function standIn(
  { waypoints }: GpxDocument,
  of: GpxWaypoint,
  partner: PartnerAddition,
  kept: (at: { lat: number; lon: number }, radius: number) => GpxWaypoint[],
): GpxWaypoint | undefined {
  const side = waypoints.find(
    ({ partner: mark }) =>
      (mark?.by === 'moved' || mark?.by === 'name') &&
      mark.of === of.fileIndex &&
      mark.suffix === partner.suffix,
  );
  return side ?? kept(partner, SAME_PLACE).find((waypoint) => waypoint !== of);
}

function reportReplaced(
  { waypoints }: GpxDocument,
  planned: ReadonlyMap<number, WaypointAddition>,
  removed: ReadonlySet<number>,
  report: (diagnostic: Diagnostic) => void,
): void {
  for (const fileIndex of removed) {
    const waypoint = waypoints[fileIndex];
    const { partner } = waypoint;
    if (partner?.by !== 'signature' || partner.of === undefined) continue;
    const now = planned.get(partner.of)?.partners.find(({ suffix }) => suffix === partner.suffix);
    const distance = now === undefined ? 0 : nearDistance(waypoint, now);
    if (distance > 2 * SAME_PLACE) report(says.boatPositionReplaced(placeOf(waypoint), distance));
  }
}

const placeOf = ({ file, line, name }: GpxWaypoint) => ({ file, line, waypoint: name });
