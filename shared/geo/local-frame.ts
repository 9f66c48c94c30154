/** Semi-major axis, m, and flattening of the WGS 84 ellipsoid. */
export const WGS84 = { a: 6378137, f: 1 / 298.257223563 } as const;

const E2 = WGS84.f * (2 - WGS84.f);
const RAD = Math.PI / 180;

/** Converts positions to meters east and north of an origin, and back. */
export interface LocalFrame {
  /** Origin, deg. */
  readonly lat: number;
  readonly lon: number;
  /** Returns `[east, north]` of a place, m. */
  toLocal(lat: number, lon: number): [east: number, north: number];
  /** Returns `[lat, lon]`, deg, with longitude in [-180, 180). @param east m. @param north m. */
  toGeographic(east: number, north: number): [lat: number, lon: number];
}

/**
 * Makes the east-north plane that touches the WGS 84 ellipsoid at a place.
 *
 * Places are projected onto the plane along the normal at the origin. On the origin's side of the earth,
 * `toLocal` and `toGeographic` are inverses up to rounding, even across the 180th meridian and over a pole.
 * Positions on the plane differ from positions by geodesic distance and bearing by at most 1e-5 m at 1 km
 * and 5 mm at 10 km.
 *
 * @param lat deg, [-90, 90].
 * @param lon deg, not limited to [-180, 180). At a pole, it sets which way "north" and "east" point.
 */
export function localFrame(lat: number, lon: number): LocalFrame {
  const sin = Math.sin(lat * RAD);
  const cos = Math.cos(lat * RAD);
  const radius = primeVertical(sin);
  // Earth-centered axes turned so that the origin lies in the x-z plane.
  const originX = radius * cos;
  const originZ = radius * (1 - E2) * sin;
  const polar = 1 / (1 - E2);

  const toLocal = (toLat: number, toLon: number): [number, number] => {
    const sinTo = Math.sin(toLat * RAD);
    const r = primeVertical(sinTo);
    const cosTo = Math.cos(toLat * RAD);
    const turn = wrapLongitude(toLon - lon) * RAD;
    const half = Math.sin(turn / 2);
    const dx = r * cosTo * (1 - 2 * half * half) - originX;
    const dz = r * (1 - E2) * sinTo - originZ;
    return [r * cosTo * Math.sin(turn), cos * dz - sin * dx];
  };

  const toGeographic = (east: number, north: number): [number, number] => {
    // The place on the ellipsoid is origin + east E + north N + up U, where U is the normal at the origin and
    // `up` the root near 0 of a up^2 + 2 b up + c = 0.
    const a = cos * cos + polar * sin * sin;
    const b = radius + north * sin * cos * (polar - 1);
    const c = east * east + north * north * (sin * sin + polar * cos * cos);
    const up = -c / (b + Math.sqrt(Math.max(b * b - a * c, 0)));
    const x = originX - north * sin + up * cos;
    const z = originZ + north * cos + up * sin;
    const toLat = Math.atan2(z, (1 - E2) * Math.hypot(x, east)) / RAD;
    return [toLat, wrapLongitude(lon + Math.atan2(east, x) / RAD)];
  };

  return { lat, lon, toLocal, toGeographic };
}

/** Returns the radius of curvature across the meridian, m. @param sin Sine of the latitude. */
const primeVertical = (sin: number): number => WGS84.a / Math.sqrt(1 - E2 * sin * sin);

/** Wraps a longitude to [-180, 180), deg. */
export const wrapLongitude = (lon: number): number =>
  lon >= -180 && lon < 180 ? lon : lon - 360 * Math.floor((lon + 180) / 360);

/** Meters in a degree on a sphere of radius 6,371,008.8 m (Moritz 2000), within 0.6 % of WGS 84. */
export const MEAN_METERS_PER_DEGREE = 111_195;

/** Minimum meters in a degree of latitude (at the equator), less 0.1 % so that no search box is too small. */
export const MIN_METERS_PER_DEGREE = 110_574 * 0.999;

/** Returns the meters in a degree of latitude and of longitude on WGS 84. @param lat deg. */
export function metersPerDegree(lat: number): [perLat: number, perLon: number] {
  const sin = Math.sin(lat * RAD);
  const w2 = 1 - E2 * sin * sin;
  const across = WGS84.a / Math.sqrt(w2);
  return [(across * (1 - E2) * RAD) / w2, across * Math.cos(lat * RAD) * RAD];
}

/** Returns the bearing of a vector, deg, [0, 360). */
export const bearingOf = (east: number, north: number): number =>
  ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;
