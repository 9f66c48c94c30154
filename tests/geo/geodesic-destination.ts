import geographiclib from 'geographiclib-geodesic';

/**
 * Returns the position at a true bearing and distance from another, on the WGS 84 ellipsoid.
 *
 * @param bearing True bearing, deg.
 * @param distance m.
 * @returns `[lat, lon]`, deg, longitude in [-180, 180].
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
