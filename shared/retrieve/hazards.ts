import { escapeRegExp } from 'es-toolkit/string';
import type { Waypoint } from '../contract/index.ts';
import { type LocalFrame, MIN_METERS_PER_DEGREE } from '../geo/index.ts';

/** A waypoint with a word for a snag in its text; `east` and `north` are m from the mark. */
export type Hazard = ReturnType<typeof hazardsNear>[number];

/** Maximum distance between the mark and a waypoint that counts as the mark itself, m. */
const AT_MARK = 0.5;

/** Distance from the line of a cast within which a hazard is under the cast, m: positions and casts err. */
const UNDER_CAST = 5;

/**
 * Finds the hazards within a distance of a mark; the mark itself may be one of them.
 *
 * @param words Whole words or phrases in the singular; case is ignored, and plurals in s or es match too.
 * @param radius m.
 */
export function hazardsNear(
  waypoints: readonly Waypoint[],
  words: readonly string[],
  frame: LocalFrame,
  radius: number,
) {
  if (words.length === 0) return [];
  const pattern = new RegExp(`\\b(${words.map(escapeRegExp).join('|')})(?:s|es)?\\b`, 'i');
  const reach = radius / MIN_METERS_PER_DEGREE;
  return waypoints.flatMap(({ name, lat, lon, comment, description, symbol }) => {
    // Latitude alone rules out most waypoints, because few are near the mark.
    if (Math.abs(lat - frame.lat) > reach) return [];
    const [east, north] = frame.toLocal(lat, lon);
    const distance = Math.hypot(east, north);
    if (distance > radius) return [];
    const word = pattern.exec([name, comment, description, symbol].join('\n'))?.[1];
    if (word === undefined) return [];
    // A hazard at the mark itself has a flag, because no other cast would avoid it.
    return [{ name, word: word.toLowerCase(), east, north, isMark: distance <= AT_MARK }];
  });
}

interface Place {
  readonly east: number;
  readonly north: number;
}

/** Returns the hazards under the line from boat to landing, without the mark itself. */
export const hazardsUnder = (hazards: readonly Hazard[], boat: Place, landing: Place): Hazard[] =>
  hazards.filter((hazard) => !hazard.isMark && distanceToSegment(hazard, boat, landing) <= UNDER_CAST);

/** Returns the distance of a place from the straight line between two other places, m. */
export function distanceToSegment(point: Place, from: Place, to: Place): number {
  const de = to.east - from.east;
  const dn = to.north - from.north;
  const along = ((point.east - from.east) * de + (point.north - from.north) * dn) / (de * de + dn * dn);
  const share = Math.min(Math.max(along, 0), 1);
  return Math.hypot(point.east - from.east - share * de, point.north - from.north - share * dn);
}
