import geographiclib from 'geographiclib-geodesic';

/**
 * Place reached from another on a true bearing over a distance on the WGS 84 ellipsoid.
 *
 * @param bearing deg true. @param distance m. @returns `[lat, lon]`, deg, longitude in [-180, 180].
 */
export function geodesicDestination(
  lat: number,
  lon: number,
  bearing: number,
  distance: number,
): [lat: number, lon: number] {
  const line = geographiclib.Geodesic.WGS84.Direct(lat, lon, bearing, distance);
  return [line.lat2!, line.lon2!];
}
