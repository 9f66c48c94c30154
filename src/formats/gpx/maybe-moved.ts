import { isMangled, isNumber } from './mangled-names.ts';
import { hasOtherText, type LedgerEntry, type Returned } from './match-ledger.ts';
import { createNearIndex, type LatLon, nearestPlace } from './near.ts';

/** A waypoint that may be one of our boat positions, moved by the user. */
export interface MaybeMoved {
  readonly entry: LedgerEntry;
  /** True when the name or the neighbors in the file make this likely. Such a waypoint gets no additions. */
  readonly isLikely: boolean;
}

/**
 * Finds waypoints that may be moved boat positions, for chartplotters that drop texts and change names.
 *
 * A boat position is missing when its mark is still in place but no waypoint matched the boat position. A
 * candidate has no text of the user's, is no enriched mark, and lies within `reach` of the position written.
 * A candidate is likely when a chartplotter may have made its name from the written name and from no missing
 * mark's name, or when its name is a number and `isAmong` is true. The nearest likely candidate is found,
 * else the nearest candidate with a number or no name. None of this is proof, so the waypoint is always kept.
 *
 * @param waypoints Waypoints in file order.
 * @param matched Boat positions found where they were written, or recognized as moved.
 * @param tolerance Maximum distance by which a chartplotter moves a position, m.
 * @param reach Maximum distance by which a user moves a position, m.
 * @returns What may have been moved, by waypoint; empty when `matched` is empty.
 */
export function findMaybeMoved<T extends Returned>(
  waypoints: readonly T[],
  given: readonly LedgerEntry[],
  matched: ReadonlyMap<T, LedgerEntry>,
  tolerance: number,
  reach: number,
): ReadonlyMap<T, MaybeMoved> {
  const found = new Map<T, MaybeMoved>();
  if (matched.size === 0) return found;
  const near = createNearIndex(() => waypoints.filter((waypoint) => !matched.has(waypoint)));
  const { present, missing } = knownMarks(given, (place) => nearestPlace(place, near(place, tolerance)));
  const orders = neighborsIn(waypoints);
  const returned = new Set(matched.values());
  for (const [mark, entries] of present) {
    const entriesOfMark = new Set(entries);
    const taken = new Set(entries.filter((entry) => returned.has(entry)).map(({ suffix }) => suffix));
    // When a side was written several times, the latest entry counts.
    const written = [...new Map(entries.map((entry) => [entry.suffix, entry])).values()];
    for (const entry of written.filter(({ suffix }) => !taken.has(suffix))) {
      const open = near(entry, reach).filter(
        (one) => !present.has(one) && !found.has(one) && !hasOtherText(one, entry),
      );
      const isNamed = (one: T): boolean =>
        one.name !== '' &&
        !isNumber(one.name) &&
        isMangled(one.name, entry.name) &&
        !missing.some((of) => isMangled(one.name, of));
      const isBetween = (one: T): boolean =>
        isNumber(one.name) &&
        isAmong(one, mark, entriesOfMark, matched, (other) => present.has(other), orders);
      const likely = nearestPlace(
        entry,
        open.filter((one) => isNamed(one) || isBetween(one)),
      );
      const other = nearestPlace(
        entry,
        open.filter((one) => isNumber(one.name) || one.name === ''),
      );
      const best = likely ?? other;
      if (best !== undefined) found.set(best, { entry, isLikely: best === likely });
    }
  }
  return found;
}

/**
 * Returns the entries of each mark that is still in place, and the names of marks that are not. Entries belong
 * to a mark by its position, because the chartplotter may have renamed it.
 */
function knownMarks<T>(given: readonly LedgerEntry[], find: (place: LatLon) => T | undefined) {
  const present = new Map<T, LedgerEntry[]>();
  const missing = new Set<string>();
  for (const entry of given) {
    const { of, ofLat: lat, ofLon: lon } = entry;
    if (lat === undefined || lon === undefined) continue;
    const mark = find({ lat, lon });
    if (mark === undefined) missing.add(of);
    else if (present.has(mark)) present.get(mark)!.push(entry);
    else present.set(mark, [entry]);
  }
  return { present, missing: [...missing] };
}

/**
 * True when a waypoint's two neighbors in the file are `mark` or its boat positions. One neighbor may instead
 * be another enriched mark. A mark that the user added is usually last in the file and has only one neighbor.
 */
function isAmong<T>(
  waypoint: T,
  mark: T,
  entriesOfMark: ReadonlySet<LedgerEntry>,
  matched: ReadonlyMap<T, LedgerEntry>,
  isMark: (one: T) => boolean,
  orders: ReadonlyMap<T, readonly T[]>,
): boolean {
  const isOwn = (one: T): boolean => {
    const entry = matched.get(one);
    return one === mark || (entry !== undefined && entriesOfMark.has(entry));
  };
  const neighbors = orders.get(waypoint) ?? [];
  return (
    neighbors.length === 2 && neighbors.some(isOwn) && neighbors.every((one) => isOwn(one) || isMark(one))
  );
}

/** Returns the waypoints just before and after each waypoint in the file. */
const neighborsIn = <T>(waypoints: readonly T[]): ReadonlyMap<T, readonly T[]> =>
  new Map(
    waypoints.map((waypoint, k) => [
      waypoint,
      [waypoints[k - 1], waypoints[k + 1]].filter((one) => one !== undefined),
    ]),
  );
