const METERS_PER_DEGREE = 111_195;

/**
 * Distance between two places that are near each other, m; good to 1 %, for tolerances only.
 *
 * Longitudes of any wrap.
 */
export function nearDistance(a: LatLon, b: LatLon): number {
  const north = (b.lat - a.lat) * METERS_PER_DEGREE;
  const turn = ((((b.lon - a.lon + 540) % 360) + 360) % 360) - 180;
  return Math.hypot(north, turn * METERS_PER_DEGREE * Math.cos((a.lat * Math.PI) / 180));
}

export interface LatLon {
  readonly lat: number;
  readonly lon: number;
}

/** Finds those of `places` that lie within a radius in meters; places without coordinates are never found. */
export function createNearIndex<T extends LatLon>(places: readonly T[]): (at: LatLon, radius: number) => T[] {
  const sorted = places.filter(({ lat, lon }) => !Number.isNaN(lat + lon)).sort((a, b) => a.lat - b.lat);
  return (at, radius) => {
    const reach = (radius * 1.02) / METERS_PER_DEGREE;
    const found: T[] = [];
    for (
      let i = firstAtLeast(sorted, at.lat - reach);
      i < sorted.length && sorted[i].lat <= at.lat + reach;
      i++
    ) {
      if (nearDistance(at, sorted[i]) <= radius) found.push(sorted[i]);
    }
    return found;
  };
}

function firstAtLeast(sorted: readonly LatLon[], lat: number): number {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle].lat < lat) low = middle + 1;
    else high = middle;
  }
  return low;
}
