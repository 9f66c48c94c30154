import { WGS84, wrapLongitude } from './local-frame.ts';

const E2 = WGS84.f * (2 - WGS84.f);
const RAD = Math.PI / 180;

/** Coefficients of east-north meters around a place, so that loops over many nearby places need no call for each. */
export interface NearFrame {
  /** deg; origin, longitude in [-180, 180). */
  readonly lat: number;
  readonly lon: number;
  /** m per degree of longitude, and how much that changes per degree of latitude. */
  readonly east: number;
  readonly eastChange: number;
  /** m per degree of latitude, and how much that changes per degree. */
  readonly north: number;
  readonly northChange: number;
  /** m north per square degree of longitude, because parallels curve. */
  readonly bend: number;
}

/**
 * The plane of `localFrame`, expanded about its origin to second order, which needs no sine for each place.
 *
 *     east  = dLon * (frame.east + frame.eastChange * dLat)
 *     north = dLat * (frame.north + frame.northChange * dLat) + frame.bend * dLon^2
 *
 * Up to 120 m from the origin, within 1e-7 m of `localFrame` at latitudes below 60 degrees and within 5e-6 m below 85
 * degrees. dLon must be taken the short way around the globe.
 */
export function nearFrame(lat: number, lon: number): NearFrame {
  const [north, east] = metersPerDegree(lat);
  const sin = Math.sin(lat * RAD);
  const cos = Math.cos(lat * RAD);
  return {
    lat,
    lon: wrapLongitude(lon),
    east,
    eastChange: -north * sin * RAD,
    north,
    northChange: (1.5 * north * E2 * sin * cos * RAD) / (1 - E2 * sin * sin),
    bend: 0.5 * east * sin * RAD,
  };
}

/** Meters in a degree of a great circle of the mean sphere, radius 6 371 008.8 m (Moritz 2000): good to 0.6 %. */
export const MEAN_METERS_PER_DEGREE = 111_195;

/** Meters in a degree of latitude and of longitude at a latitude, from the radii of curvature of WGS 84. */
export function metersPerDegree(lat: number): [perLat: number, perLon: number] {
  const sin = Math.sin(lat * RAD);
  const w2 = 1 - E2 * sin * sin;
  const across = WGS84.a / Math.sqrt(w2);
  return [(across * (1 - E2) * RAD) / w2, across * Math.cos(lat * RAD) * RAD];
}
