import type { Report } from '../../../shared/contract/index.ts';
import { gpxMessages as says } from '../../../shared/text/index.ts';
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

/** Maximum distance between a new boat position and the same one as it came back from a chartplotter, m. */
const SAME_PLACE = 3;

export interface AdditionPlan {
  /** Additions by `fileIndex`; a waypoint without additions has no entry. */
  readonly additions: ReadonlyMap<number, WaypointAddition>;
  /** `fileIndex` of each boat position of an earlier run that is removed. */
  readonly removed: ReadonlySet<number>;
}

/** Decides which additions to make, which old boat positions to remove, and which user changes to keep. */
export function planAdditions(
  document: GpxDocument,
  additions: readonly WaypointAddition[],
  report: Report,
): AdditionPlan {
  const { waypoints } = document;
  const boats = waypoints.filter(({ partner }) => partner !== undefined);
  const removed = new Set(
    boats.filter(({ partner }) => isReplaceable(partner!)).map(({ fileIndex }) => fileIndex),
  );
  const edited = bySide(boats.filter(({ partner }) => partner?.edits !== undefined));
  // A boat position that the user moved, or that is known only by name and place, stays. No new boat position
  // is added for its side.
  const kept = bySide(boats.filter(({ partner }) => /^(?:moved|name)$/.test(partner!.by)).reverse());
  const standsAt = boatsByPlace(document, additions, removed);
  const planned = new Map<number, WaypointAddition>();
  const standIns = new Set<number>();
  for (const addition of additions) {
    const waypoint = waypoints[addition.fileIndex];
    if (waypoint === undefined)
      throw new Error(`Addition to waypoint ${addition.fileIndex} of ${waypoints.length}.`);
    if (waypoint.partner !== undefined || standIns.has(addition.fileIndex)) continue;
    const partners = addition.partners.filter((partner) => {
      const stand = kept.get(sideKey(waypoint.fileIndex, partner.suffix)) ?? standsAt(waypoint, partner);
      if (stand === undefined) return true;
      if (stand.partner === undefined) standIns.add(stand.fileIndex);
      report(says['boat-kept'](markPlace(stand)));
      return false;
    });
    planned.set(addition.fileIndex, {
      ...addition,
      partners: partners.map((partner) => {
        const before = edited.get(sideKey(waypoint.fileIndex, partner.suffix));
        return { ...partner, edits: before?.partner?.edits };
      }),
    });
  }
  for (const fileIndex of standIns) planned.delete(fileIndex);
  const successorOf = ({ of = -1, suffix }: PartnerMark): PartnerAddition | undefined =>
    planned.get(of)?.partners.find((partner) => partner.suffix === suffix);
  keepEdited(boats, successorOf, removed, report);
  reportReplaced(boats, successorOf, removed, report);
  return { additions: planned, removed };
}

const sideKey = (of: number | undefined, suffix: string | undefined): string => `${of} ${suffix}`;

/** Indexes boat positions by mark and side. Of several boat positions on one side, the last counts. */
const bySide = (boats: readonly GpxWaypoint[]): ReadonlyMap<string, GpxWaypoint> =>
  new Map(boats.map((boat) => [sideKey(boat.partner?.of, boat.partner?.suffix), boat]));

type StandsAt = (of: GpxWaypoint, partner: PartnerAddition) => GpxWaypoint | undefined;

/**
 * Returns a function that finds a boat position of an earlier run that can be recognized only by its place: a
 * waypoint exactly where this run would put a boat position.
 *
 * A single such waypoint may be a coincidence. Such waypoints count as boat positions only if there are at
 * least two, and if they make up at least a third of the waypoints not otherwise known as boat positions.
 * Each is then kept instead of the new boat position at its place, and is not enriched as a mark.
 */
function boatsByPlace(
  { waypoints }: GpxDocument,
  additions: readonly WaypointAddition[],
  removed: ReadonlySet<number>,
): StandsAt {
  const own = waypoints.filter(({ fileIndex, partner }) => !removed.has(fileIndex) && partner === undefined);
  const near = createNearIndex(() => own);
  // A mark at the place of `of`, as after merging two files, is not a boat position of `of`.
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

/** Keeps each boat position that the user edited and no new position replaces. Reports edited positions. */
function keepEdited(
  boats: readonly GpxWaypoint[],
  successorOf: (partner: PartnerMark) => PartnerAddition | undefined,
  removed: Set<number>,
  report: Report,
): void {
  for (const boat of boats) {
    const { partner, fileIndex } = boat;
    if (partner?.edits === undefined || !removed.has(fileIndex)) continue;
    const isCarried = successorOf(partner) !== undefined;
    if (!isCarried) removed.delete(fileIndex);
    report((isCarried ? says['boat-edited'] : says['boat-kept'])(markPlace(boat)));
  }
}

function reportReplaced(
  boats: readonly GpxWaypoint[],
  successorOf: (partner: PartnerMark) => PartnerAddition | undefined,
  removed: ReadonlySet<number>,
  report: Report,
): void {
  for (const boat of boats) {
    if (!removed.has(boat.fileIndex) || boat.partner?.by !== 'signature') continue;
    const now = successorOf(boat.partner);
    const distance = now === undefined ? 0 : nearDistance(boat, now);
    if (distance > 2 * SAME_PLACE) report(says['boat-replaced'](markPlace(boat), distance));
  }
}
