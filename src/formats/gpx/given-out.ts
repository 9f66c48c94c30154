import { MEAN_METERS_PER_DEGREE } from '../../../shared/geo/index.ts';
import { fold, isMangled, isNumber } from './mangled-names.ts';
import { createNearIndex, type LatLon, nearDistance } from './near.ts';

/** A boat position as it was given out: what comes back from a unit is matched with it. */
export interface GivenOut {
  /** As written, after the limits of the unit. */
  readonly name: string;
  /** deg. */
  readonly lat: number;
  readonly lon: number;
  /** Name of its mark, and suffix of its side. */
  readonly of: string;
  readonly suffix: string;
  readonly comment: string;
  /** Empty where none was written. */
  readonly symbol: string;
}

/** What of a waypoint can be matched. */
export interface Returned extends LatLon {
  readonly name: string;
  readonly comment: string;
  readonly description: string;
}

/** Farthest that rounding in a unit moves a position, beyond the last decimal of its file, m. */
const ROUNDING = 3;
/** Fewest characters by which a comment is recognized as ours. */
const LEAST_COMMENT = 8;

/**
 * Matches waypoints with what was given out, one to one, the surest pairs first.
 *
 * A pair needs one place, as far as the file's own decimals tell, and either a name that a unit may have made of the
 * one given
 * (cut, in capitals, numbered) or our text. So a waypoint that a user named after a boat position, or put beside one,
 * is no
 * match.
 *
 * @param decimals Of the coordinates in the file.
 * @returns What was given out, by its waypoint.
 */
export function matchGivenOut<T extends Returned>(
  waypoints: readonly T[],
  given: readonly GivenOut[],
  decimals: number,
): ReadonlyMap<T, GivenOut> {
  const tolerance = ROUNDING + MEAN_METERS_PER_DEGREE * 10 ** -decimals;
  const near = createNearIndex(() => waypoints);
  const pairs = given
    .flatMap((entry) =>
      near(entry, tolerance).map((waypoint) => ({
        entry,
        waypoint,
        cost: costOf(waypoint, entry, tolerance),
      })),
    )
    .filter(({ cost }) => cost !== undefined)
    .sort((a, b) => a.cost! - b.cost!);
  const matched = new Map<T, GivenOut>();
  const taken = new Set<GivenOut>();
  for (const { entry, waypoint } of pairs) {
    if (matched.has(waypoint) || taken.has(entry)) continue;
    matched.set(waypoint, entry);
    taken.add(entry);
  }
  return matched;
}

/** How unlike a waypoint is to what was given out, from 0; undefined for one that is another. */
function costOf(waypoint: Returned, entry: GivenOut, tolerance: number): number | undefined {
  const place = nearDistance(waypoint, entry) / tolerance;
  const isOurText = [waypoint.comment, waypoint.description].some((text) => startsAlike(text, entry.comment));
  if (fold(waypoint.name) === fold(entry.name)) return place;
  if (isMangled(waypoint.name, entry.name) && !isNumber(waypoint.name)) return 1 + place;
  if (isOurText) return 2 + place;
  return isNumber(waypoint.name) || waypoint.name === '' ? 3 + place : undefined;
}

/** True when one text begins with the other, or with a long enough start of it. */
export function startsAlike(text: string, written: string): boolean {
  const [a, b] = [text.trim().toUpperCase(), written.trim().toUpperCase()];
  const length = Math.min(a.length, b.length);
  return length >= LEAST_COMMENT && a.slice(0, length) === b.slice(0, length);
}
