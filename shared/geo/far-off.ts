import { geodesicInverse } from './geodesic.ts';

export interface FarPlace {
  readonly lat: number;
  readonly lon: number;
}

/** Distance beyond which two places are taken to be on different lakes, m; judgment. */
const FAR_OFF = 150_000;

/** Returns the distance from a place to the nearest of some places, m; infinite without places. */
export const nearestOf = ({ lat, lon }: FarPlace, places: readonly FarPlace[]): number =>
  places.reduce(
    (least, place) => Math.min(least, geodesicInverse(lat, lon, place.lat, place.lon).distance),
    Number.POSITIVE_INFINITY,
  );

/**
 * Tells how far a place is from the nearest of some places, and whether swapping latitude and longitude would
 * bring the place within `far` meters of one of them.
 *
 * @returns `distance`, m, and `isSwapped`; undefined for a place within `far`, or without places.
 */
export function farOff(
  place: FarPlace,
  places: readonly FarPlace[],
  far = FAR_OFF,
): { readonly distance: number; readonly isSwapped: boolean } | undefined {
  const distance = nearestOf(place, places);
  if (places.length === 0 || distance <= far) return undefined;
  const isSwapped = Math.abs(place.lon) <= 90 && nearestOf({ lat: place.lon, lon: place.lat }, places) <= far;
  return { distance, isSwapped };
}

/**
 * Groups places by cells of one degree: cells that touch form one group. The largest group comes first.
 *
 * @returns Indices into `places`; a place with a NaN coordinate is in no group.
 */
export function groupsApart(places: readonly FarPlace[]): number[][] {
  const cells = new Map<string, number[]>();
  const key = (lat: number, lon: number): string => `${lat} ${((lon % 360) + 360) % 360}`;
  for (const [i, { lat, lon }] of places.entries()) {
    if (Number.isNaN(lat + lon)) continue;
    const cell = key(Math.floor(lat), Math.floor(lon));
    cells.set(cell, [...(cells.get(cell) ?? []), i]);
  }
  const groups: number[][] = [];
  for (const [start] of cells) {
    if (!cells.has(start)) continue;
    const group: number[] = [];
    const open = [start];
    for (let cell = open.pop(); cell !== undefined; cell = open.pop()) {
      const members = cells.get(cell);
      if (members === undefined) continue;
      cells.delete(cell);
      group.push(...members);
      const [lat, lon] = cell.split(' ').map(Number);
      for (const north of [-1, 0, 1]) for (const east of [-1, 0, 1]) open.push(key(lat + north, lon + east));
    }
    groups.push(group.sort((a, b) => a - b));
  }
  return groups.sort((a, b) => b.length - a.length || a[0] - b[0]);
}
