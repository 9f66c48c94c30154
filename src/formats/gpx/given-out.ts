import { MEAN_METERS_PER_DEGREE } from '../../../shared/geo/index.ts';
import { fold, isCounted, isMangled, isNumber } from './mangled-names.ts';
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
  /** Place of its mark, deg: several marks may have one name. */
  readonly ofLat?: number;
  readonly ofLon?: number;
  readonly comment: string;
  /** The usual one of its side, not one that a user chose; empty where none is written. */
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
/** What a pair costs more that may as well be a mark of the user's: it comes after all others. */
const DOUBT = 10;

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
  const isMark = knownMarks(given, tolerance);
  const pairs = given
    .flatMap((entry) =>
      near(entry, tolerance).map((waypoint) => {
        const isDoubtful = hasOtherText(waypoint, entry) || (isMark(waypoint) && !hasText(waypoint, entry));
        const cost = costOf(waypoint, entry, tolerance);
        return {
          entry,
          waypoint,
          isDoubtful,
          cost: cost === undefined ? undefined : cost + (isDoubtful ? DOUBT : 0),
        };
      }),
    )
    .filter(({ cost }) => cost !== undefined)
    .sort((a, b) => a.cost! - b.cost!);
  const matched = new Map<T, GivenOut>();
  const taken = new Set<GivenOut>();
  const sides = new Set<string>();
  for (const { entry, waypoint, isDoubtful } of pairs) {
    if (matched.has(waypoint) || taken.has(entry) || (isDoubtful && sides.has(sideKey(entry)))) continue;
    sides.add(sideKey(entry));
    matched.set(waypoint, entry);
    taken.add(entry);
  }
  // One alone, with a text of its own, is a mark that the user put there under that name: a file with our boat positions has more.
  const [[lone, entry] = []] = matched;
  if (matched.size === 1 && lone && entry && hasOtherText(lone, entry)) matched.clear();
  return matched;
}

/** Tells waypoints that have name and place of a mark which was enriched: a user's, though named like a boat position. */
function knownMarks(given: readonly GivenOut[], tolerance: number): (waypoint: Returned) => boolean {
  const near = createNearIndex(() =>
    given.flatMap(({ of, ofLat: lat, ofLon: lon }) =>
      lat === undefined || lon === undefined ? [] : [{ of, lat, lon }],
    ),
  );
  return (waypoint) => near(waypoint, tolerance).some(({ of }) => fold(of) === fold(waypoint.name));
}

/**
 * Boat positions that a user moved, among waypoints that are none by place.
 *
 * One has the name that was given out and, as far as the unit keeps texts, ours, or our text under a name that the unit made;
 * nothing else has its mark and side; and it is within reach of where it was given out. A number that a unit gives for a name proves
 * nothing.
 *
 * @param matched What is known by place. @param reach m.
 */
export function matchMoved<T extends Returned>(
  waypoints: readonly T[],
  given: readonly GivenOut[],
  matched: ReadonlyMap<T, GivenOut>,
  reach: number,
): ReadonlyMap<T, GivenOut> {
  const taken = new Set([...matched.values()].map(sideKey));
  const open = given.filter((entry) => !taken.has(sideKey(entry)));
  const keepsTexts = [...matched].some(([waypoint, entry]) => hasText(waypoint, entry));
  const near = createNearIndex(() => waypoints.filter((waypoint) => !matched.has(waypoint)));
  const isMoved = (waypoint: T, entry: GivenOut): boolean => {
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
  const moved = new Map<T, GivenOut>();
  for (const { entry, waypoint } of pairs) {
    if (moved.has(waypoint) || taken.has(sideKey(entry))) continue;
    moved.set(waypoint, entry);
    taken.add(sideKey(entry));
  }
  return moved;
}

/** What there is one of: a mark's boat position on a side, over all evenings. */
const sideKey = ({ of, suffix, ofLat, ofLon }: GivenOut): string =>
  [of, suffix, ofLat?.toFixed(4), ofLon?.toFixed(4)].join(' ');

const isSameName = ({ name }: Returned, entry: GivenOut): boolean => fold(name) === fold(entry.name);

const hasText = ({ comment, description }: Returned, entry: GivenOut): boolean =>
  [comment, description].some((text) => startsAlike(text, entry.comment));

const hasOtherText = (waypoint: Returned, entry: GivenOut): boolean =>
  `${waypoint.comment}${waypoint.description}`.trim() !== '' && !hasText(waypoint, entry);

/** How unlike a waypoint is to what was given out, from 0; undefined for one that is another. */
function costOf(waypoint: Returned, entry: GivenOut, tolerance: number): number | undefined {
  const place = nearDistance(waypoint, entry) / tolerance;
  if (isSameName(waypoint, entry)) return place;
  if (isMangled(waypoint.name, entry.name) && !isNumber(waypoint.name)) return 1 + place;
  const isOurs = hasText(waypoint, entry);
  if (isOurs && isCounted(waypoint.name, entry.name)) return 2 + place;
  // Under any other name it is the user's, with our text or without.
  if (!isNumber(waypoint.name) && waypoint.name !== '') return undefined;
  return (isOurs ? 2 : 3) + place;
}

/** True when one text begins with the other, or with a long enough start of it. */
export function startsAlike(text: string, written: string): boolean {
  const [a, b] = [text.trim().toUpperCase(), written.trim().toUpperCase()];
  const length = Math.min(a.length, b.length);
  return length >= LEAST_COMMENT && a.slice(0, length) === b.slice(0, length);
}
