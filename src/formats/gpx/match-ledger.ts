import { uniqBy } from 'es-toolkit/array';
import { MEAN_METERS_PER_DEGREE } from '../../../shared/geo/index.ts';
import { fold, isCounted, isMangled, isNumber } from './mangled-names.ts';
import { createNearIndex, type FindNear, type LatLon, nearDistance, nearestPlace } from './near.ts';

/** A boat position as it was written, kept to recognize it when it comes back from a chartplotter. */
export interface LedgerEntry {
  /** Name as written, within the limits of the chartplotter. */
  readonly name: string;
  /** Latitude, deg, WGS 84. */
  readonly lat: number;
  /** Longitude, deg, WGS 84. */
  readonly lon: number;
  /** Name of the boat position's mark; empty for a proposed place. */
  readonly of: string;
  /** Suffix of the name, such as `D`. */
  readonly suffix: string;
  /** Latitude of the mark, deg, WGS 84; its place tells marks of the same name apart. */
  readonly ofLat?: number;
  readonly ofLon?: number;
  readonly comment: string;
  /** Symbol from an option or a plugin, never one that the user set on the chartplotter; empty for none. */
  readonly symbol: string;
}

/** Properties of a waypoint used for matching. */
export interface Returned extends LatLon {
  readonly name: string;
  readonly comment: string;
  readonly description: string;
}

/** Maximum distance, m, by which a chartplotter moves a position besides rounding it. */
const ROUNDING = 3;
/** Minimum number of characters that identify a comment as ours. */
const MIN_COMMENT = 8;
/** Extra cost of a pair whose waypoint may be a user's mark, so that all other pairs come first. */
const UNCERTAIN_COST = 10;

/** Returns the maximum distance, m, by which a chartplotter moves a position, given its file's decimals. */
export const roundingOf = (decimals: number): number => ROUNDING + MEAN_METERS_PER_DEGREE * 10 ** -decimals;

/**
 * Matches waypoints with the boat positions written earlier, one to one, surest pairs first.
 *
 * A pair must agree in position within the precision of the file, and in name as a chartplotter may have
 * changed it: capitalized, cut, or replaced with a number or nothing. The whole name with a number after it
 * matches only together with our text. A waypoint that has text but not ours matches only a side that has no
 * surer match. A mark that was enriched, still at its place, matches only with our text.
 *
 * A user's own mark may lie where a boat position was written and have a name such as a chartplotter gives. So
 * a changed name without our text counts only in a file that gives back most sides of its marks.
 *
 * @param decimals Decimals of the coordinates in the file.
 * @returns Boat position as written, by waypoint.
 */
export function matchLedger<T extends Returned>(
  waypoints: readonly T[],
  given: readonly LedgerEntry[],
  decimals: number,
): ReadonlyMap<T, LedgerEntry> {
  const tolerance = roundingOf(decimals);
  const near = createNearIndex(() => waypoints);
  const marks = marksAmong(near, given, tolerance);
  const pairs = given
    .flatMap((entry) =>
      near(entry, tolerance).flatMap((waypoint) => {
        const isUncertain = hasOtherText(waypoint, entry);
        const cost = costOf(waypoint, entry, tolerance);
        if (cost === undefined || (marks.has(waypoint) && !hasText(waypoint, entry))) return [];
        return [{ entry, waypoint, isUncertain, cost: cost + (isUncertain ? UNCERTAIN_COST : 0) }];
      }),
    )
    .sort((a, b) => a.cost - b.cost);
  const matched = new Map<T, LedgerEntry>();
  const taken = new Set<LedgerEntry>();
  const sides = new Set<string>();
  for (const { entry, waypoint, isUncertain } of pairs) {
    if (matched.has(waypoint) || taken.has(entry) || (isUncertain && sides.has(sideKey(entry)))) continue;
    sides.add(sideKey(entry));
    matched.set(waypoint, entry);
    taken.add(entry);
  }
  const written = new Set(given.filter((entry) => near(markOf(entry), tolerance).length > 0).map(sideKey));
  if (matched.size === 1 || 2 * sides.size <= written.size)
    for (const [waypoint, entry] of matched)
      if (!isSameName(waypoint, entry) && !hasText(waypoint, entry)) matched.delete(waypoint);
  // A single match whose text is not ours counts as a mark of the user: a returned file usually has several
  // of our boat positions.
  const [[lone, entry] = []] = matched;
  if (matched.size === 1 && lone && entry && hasOtherText(lone, entry)) matched.clear();
  return matched;
}

/** Finds the marks that were enriched: the waypoint with the name of the mark that is nearest to its place. */
function marksAmong<T extends Returned>(
  near: FindNear<T>,
  given: readonly LedgerEntry[],
  tolerance: number,
): ReadonlySet<T> {
  const found = uniqBy(given, ({ of, ofLat, ofLon }) => [of, ofLat, ofLon].join(' ')).map((entry) =>
    nearestPlace(
      markOf(entry),
      near(markOf(entry), tolerance).filter(({ name }) => fold(name) === fold(entry.of)),
    ),
  );
  return new Set(found.filter((mark) => mark !== undefined));
}

/** Returns the place of the mark of a boat position; NaN if unknown. */
const markOf = ({ ofLat = Number.NaN, ofLon = Number.NaN }: LedgerEntry): LatLon => ({
  lat: ofLat,
  lon: ofLon,
});

/**
 * Finds boat positions that a user moved, among the waypoints that did not match by position.
 *
 * A moved boat position has our text, and no name or the written name as a chartplotter may have changed it.
 * If there are matches but none has our text, the chartplotter drops texts, and the written name is enough.
 * The waypoint is within `reach` of the position written, and no other waypoint matches the mark and side.
 *
 * @param matched Matches by position.
 * @param reach Maximum distance by which a user moves a position, m.
 */
export function matchMoved<T extends Returned>(
  waypoints: readonly T[],
  given: readonly LedgerEntry[],
  matched: ReadonlyMap<T, LedgerEntry>,
  reach: number,
): ReadonlyMap<T, LedgerEntry> {
  const taken = new Set([...matched.values()].map(sideKey));
  const open = given.filter((entry) => !taken.has(sideKey(entry)));
  const keepsTexts = [...matched].some(([waypoint, entry]) => hasText(waypoint, entry));
  const near = createNearIndex(() => waypoints.filter((waypoint) => !matched.has(waypoint)));
  const isMoved = (waypoint: T, entry: LedgerEntry): boolean => {
    if (hasText(waypoint, entry)) return isMangled(waypoint.name, entry.name) || waypoint.name === '';
    return matched.size > 0 && !keepsTexts && isSameName(waypoint, entry);
  };
  const pairs = open
    .flatMap((entry) =>
      near(entry, reach)
        .filter((waypoint) => isMoved(waypoint, entry))
        .map((waypoint) => ({ entry, waypoint, cost: nearDistance(waypoint, entry) })),
    )
    .sort(
      (a, b) =>
        Number(isSameName(b.waypoint, b.entry)) - Number(isSameName(a.waypoint, a.entry)) || a.cost - b.cost,
    );
  const moved = new Map<T, LedgerEntry>();
  for (const { entry, waypoint } of pairs) {
    if (moved.has(waypoint) || taken.has(sideKey(entry))) continue;
    moved.set(waypoint, entry);
    taken.add(sideKey(entry));
  }
  return moved;
}

/** Returns a key that a boat position keeps from run to run: its mark and side. */
const sideKey = ({ of, suffix, ofLat, ofLon }: LedgerEntry): string =>
  [of, suffix, ofLat?.toFixed(4), ofLon?.toFixed(4)].join(' ');

const isSameName = ({ name }: Returned, entry: LedgerEntry): boolean => fold(name) === fold(entry.name);

const hasText = ({ comment, description }: Returned, entry: LedgerEntry): boolean =>
  [comment, description].some((text) => startsAlike(text, entry.comment));

/** True when a waypoint has text and none of it is ours. */
export const hasOtherText = (waypoint: Returned, entry: LedgerEntry): boolean =>
  `${waypoint.comment}${waypoint.description}`.trim() !== '' && !hasText(waypoint, entry);

/** Returns the cost, 0 or more, of matching a waypoint with a written position; undefined for no match. */
function costOf(waypoint: Returned, entry: LedgerEntry, tolerance: number): number | undefined {
  const place = nearDistance(waypoint, entry) / tolerance;
  if (isSameName(waypoint, entry)) return place;
  if (isMangled(waypoint.name, entry.name) && !isNumber(waypoint.name)) return 1 + place;
  const isOurs = hasText(waypoint, entry);
  if (isOurs && isCounted(waypoint.name, entry.name)) return 2 + place;
  // A waypoint with any other name, except a number or none, counts as the user's even if it has our text.
  if (!isNumber(waypoint.name) && waypoint.name !== '') return undefined;
  return (isOurs ? 2 : 3) + place;
}

/** True when one text begins the other, ignoring case, and the shorter one is long enough to identify it. */
export function startsAlike(text: string, written: string): boolean {
  const [a, b] = [text.trim().toUpperCase(), written.trim().toUpperCase()];
  const length = Math.min(a.length, b.length);
  return length >= MIN_COMMENT && a.slice(0, length) === b.slice(0, length);
}
