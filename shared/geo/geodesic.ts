import geographiclib from 'geographiclib-geodesic';

const ellipsoid = geographiclib.Geodesic.WGS84;

/**
 * Measures the shortest line between two places on the WGS 84 ellipsoid.
 *
 * @returns `distance`, m, and `bearing` at the first place, deg true, [0, 360), or 0 when the places
 * coincide. Accurate to 15 nanometers (GeographicLib; Karney 2013, J. Geodesy 87(1),
 * doi:10.1007/s00190-012-0578-z).
 */
export function geodesicInverse(
  lat1: number,
  lon1: number,
  lat2: number,
  lon2: number,
): { distance: number; bearing: number } {
  const line = ellipsoid.Inverse(lat1, lon1, lat2, lon2);
  const distance = line.s12!;
  return { distance, bearing: distance === 0 ? 0 : wrapBearing(line.azi1!) };
}

/** Wraps a bearing to [0, 360), deg. */
export function wrapBearing(degrees: number): number {
  const wrapped = degrees % 360;
  return wrapped < 0 ? (wrapped + 360) % 360 : wrapped + 0;
}
