import { WGS84, wrapLongitude } from './local-frame.ts';

const E2 = WGS84.f * (2 - WGS84.f);
const RAD = Math.PI / 180;

/** East-north meters about a place for places next to it, as coefficients: loops over many need no call for each. */
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
  /** m north per square degree of longitude: parallels bend. */
  readonly bend: number;
}

/**
 * The plane of `localFrame`, expanded about its origin to second order: without a sine for each place.
 *
 *     east  = dLon * (frame.east + frame.eastChange * dLat)
 *     north = dLat * (frame.north + frame.northChange * dLat) + frame.bend * dLon^2
 *
 * Within 1e-7 m of `localFrame` up to 120 m from the origin and below 60 degrees, 5e-6 m below 85 degrees; dLon must be the short
 * way round.
 */
export function nearFrame(lat: number, lon: number): NearFrame {
  const sin = Math.sin(lat * RAD);
  const cos = Math.cos(lat * RAD);
  const w2 = 1 - E2 * sin * sin;
  const across = WGS84.a / Math.sqrt(w2);
  const along = (across * (1 - E2)) / w2;
  return {
    lat,
    lon: wrapLongitude(lon),
    east: across * cos * RAD,
    eastChange: -along * sin * RAD * RAD,
    north: along * RAD,
    northChange: (1.5 * along * E2 * sin * cos * RAD * RAD) / w2,
    bend: 0.5 * across * cos * sin * RAD * RAD,
  };
}
