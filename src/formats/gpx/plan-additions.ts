import type { Report } from '../../../shared/contract/index.ts';
import { gpx as says } from '../../../shared/text/index.ts';
import {
  type GpxDocument,
  type GpxWaypoint,
  markPlace,
  type PartnerAddition,
  type PartnerMark,
  type WaypointAddition,
} from './gpx-document.ts';
import { createNearIndex, nearDistance } from './near.ts';
import { isReplaceable } from './partners.ts';

/** A waypoint this near to a new boat position, m, may be that position after rounding in a unit. */
const SAME_PLACE = 3;

/** What happens to each waypoint of the file. */
export interface AdditionPlan {
  /** By `fileIndex`; no entry for waypoints without additions. */
  readonly additions: ReadonlyMap<number, WaypointAddition>;
  /** Boat positions of an earlier run that are removed. */
  readonly removed: ReadonlySet<number>;
}

/** Decides which additions are made, which old boat positions are removed, and which of the user's are kept. */
export function planAdditions(
  document: GpxDocument,
  additions: readonly WaypointAddition[],
  report: Report,
): AdditionPlan {
  const { waypoints } = document;
  const removed = new Set<number>();
  for (const { fileIndex, partner } of waypoints)
    if (partner !== undefined && isReplaceable(partner)) removed.add(fileIndex);
  const editsOf = boatEdits(document);
  const keptOnSide = boatsKept(document);
  const standsAt = boatsByPlace(document, additions, removed);
  const planned = new Map<number, WaypointAddition>();
  const standIns = new Set<number>();
  for (const addition of additions) {
    const waypoint = waypoints[addition.fileIndex];
    if (waypoint === undefined)
      throw new Error(`Addition to waypoint ${addition.fileIndex} of ${waypoints.length}.`);
    if (waypoint.partner !== undefined || standIns.has(addition.fileIndex)) continue;
    const partners = addition.partners.filter((partner) => {
      const stand = keptOnSide(waypoint, partner) ?? standsAt(waypoint, partner);
      if (stand === undefined) return true;
      if (stand.partner === undefined) standIns.add(stand.fileIndex);
      report(says.boatPositionKept(markPlace(stand)));
      return false;
    });
    planned.set(addition.fileIndex, {
      ...addition,
      partners: partners.map((partner) => ({ ...partner, edits: editsOf(waypoint, partner)?.edits })),
    });
  }
  for (const fileIndex of standIns) planned.delete(fileIndex);
  keepEdited(document, planned, removed, report);
  reportReplaced(document, planned, removed, report);
  return { additions: planned, removed };
}

type StandsAt = (of: GpxWaypoint, partner: PartnerAddition) => GpxWaypoint | undefined;

/**
 * Finds boat positions of an earlier run that came back with nothing of ours but their place.
 *
 * Among many marks on one spot, a single mark at a new boat position is chance. When a third of all waypoints are at
 * new boat positions, the file is one of ours. Such a waypoint stays unchanged, is not enriched, and gets no new boat
 * position beside it.
 */
function boatsByPlace(
  { waypoints }: GpxDocument,
  additions: readonly WaypointAddition[],
  removed: ReadonlySet<number>,
): StandsAt {
  const own = waypoints.filter(({ fileIndex, partner }) => !removed.has(fileIndex) && partner === undefined);
  const near = createNearIndex(() => own);
  // A mark at exactly the place of another, as after merging files from two units, is not its boat position.
  const find: StandsAt = (of, partner) =>
    near(partner, SAME_PLACE).find((waypoint) => waypoint !== of && nearDistance(waypoint, of) > SAME_PLACE);
  const found = new Set(
    additions.flatMap(({ fileIndex, partners }) =>
      partners.map((partner) => find(waypoints[fileIndex], partner)),
    ),
  );
  found.delete(undefined);
  return found.size >= 2 && found.size >= own.length / 3 ? find : () => undefined;
}

/** Finds the boat position to keep on a side of a waypoint: one moved by the user, or known only by name and place. */
function boatsKept({ waypoints }: GpxDocument): StandsAt {
  const kept = new Map<string, GpxWaypoint>();
  for (const waypoint of waypoints) {
    const { by, of, suffix } = waypoint.partner ?? {};
    const key = `${of} ${suffix}`;
    if ((by === 'moved' || by === 'name') && !kept.has(key)) kept.set(key, waypoint);
  }
  return (of, { suffix }) => kept.get(`${of.fileIndex} ${suffix}`);
}

type BoatOf = (of: GpxWaypoint, partner: PartnerAddition) => PartnerMark | undefined;

/** Finds the user's notes or symbol on an old boat position, by mark and side. */
function boatEdits({ waypoints }: GpxDocument): BoatOf {
  const edited = new Map<string, PartnerMark>();
  for (const { partner } of waypoints)
    if (partner?.edits !== undefined) edited.set(`${partner.of} ${partner.suffix}`, partner);
  return (of, { suffix }) => edited.get(`${of.fileIndex} ${suffix}`);
}

/** Moves the user's changes to the new boat position on the same side; where there is none, the old position stays. */
function keepEdited(
  { waypoints }: GpxDocument,
  planned: ReadonlyMap<number, WaypointAddition>,
  removed: Set<number>,
  report: Report,
): void {
  for (const waypoint of waypoints) {
    const { partner, fileIndex } = waypoint;
    if (partner?.edits === undefined || !removed.has(fileIndex)) continue;
    const next = partner.of === undefined ? undefined : planned.get(partner.of);
    if (next?.partners.some(({ suffix }) => suffix === partner.suffix)) {
      report(says.boatEditsCarried(markPlace(waypoint)));
      continue;
    }
    removed.delete(fileIndex);
    report(says.boatPositionKept(markPlace(waypoint)));
  }
}

function reportReplaced(
  { waypoints }: GpxDocument,
  planned: ReadonlyMap<number, WaypointAddition>,
  removed: ReadonlySet<number>,
  report: Report,
): void {
  for (const fileIndex of removed) {
    const waypoint = waypoints[fileIndex];
    const { partner } = waypoint;
    if (partner?.by !== 'signature' || partner.of === undefined) continue;
    const now = planned.get(partner.of)?.partners.find(({ suffix }) => suffix === partner.suffix);
    const distance = now === undefined ? 0 : nearDistance(waypoint, now);
    if (distance > 2 * SAME_PLACE) report(says.boatPositionReplaced(markPlace(waypoint), distance));
  }
}
