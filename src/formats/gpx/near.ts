import { least } from 'd3-array';
import KDBush from 'kdbush';
import { MEAN_METERS_PER_DEGREE } from '../../../shared/geo/index.ts';

/**
 * Returns the distance between two places near each other, m, accurate to 1 %; for tolerances only.
 *
 * Longitudes may differ by whole turns.
 */
export function nearDistance(a: LatLon, b: LatLon): number {
  const north = (b.lat - a.lat) * MEAN_METERS_PER_DEGREE;
  const turn = ((((b.lon - a.lon + 540) % 360) + 360) % 360) - 180;
  return Math.hypot(north, turn * MEAN_METERS_PER_DEGREE * Math.cos((a.lat * Math.PI) / 180));
}

export const nearestPlace = <T extends LatLon>(at: LatLon, places: readonly T[]): T | undefined =>
  least(places, (place) => nearDistance(at, place));

export interface LatLon {
  readonly lat: number;
  readonly lon: number;
}

/** Finds the places within a radius, m, in their original order. Places without coordinates are left out. */
export type FindNear<T> = (at: LatLon, radius: number) => T[];

/** Returns a function that searches `places`. It makes the index on first use, since most files need none. */
export function createNearIndex<T extends LatLon>(places: () => readonly T[]): FindNear<T> {
  let find: FindNear<T> | undefined;
  return (at, radius) => {
    find ??= indexPlaces(places());
    return find(at, radius);
  };
}

function indexPlaces<T extends LatLon>(places: readonly T[]): FindNear<T> {
  const known = places.filter(({ lat, lon }) => !Number.isNaN(lat + lon));
  if (known.length === 0) return () => [];
  const index = new KDBush(known.length);
  for (const { lat, lon } of known) index.add(lon, lat);
  index.finish();
  return (at, radius) => {
    const high = (radius * MARGIN) / MEAN_METERS_PER_DEGREE;
    // Near a pole every longitude is near.
    const wide = Math.min(
      360,
      high / Math.max(1e-6, Math.cos((Math.min(90, Math.abs(at.lat) + high) * Math.PI) / 180)),
    );
    const found = [-360, 0, 360].flatMap((turn) =>
      index.range(at.lon + turn - wide, at.lat - high, at.lon + turn + wide, at.lat + high),
    );
    return [...new Set(found)]
      .sort((a, b) => a - b)
      .map((i) => known[i])
      .filter((place) => nearDistance(at, place) <= radius);
  };
}

/** Half side of the searched box, in radii. Places in the margin are dropped by their distance. */
const MARGIN = 1.02;
