import { WGS84 } from './local-frame.ts';

const E2 = WGS84.f * (2 - WGS84.f);
const RAD = Math.PI / 180;

/** Meters in a degree of a great circle of the mean sphere, radius 6 371 008.8 m (Moritz 2000): good to 0.6 %. */
export const MEAN_METERS_PER_DEGREE = 111_195;

/** Meters in a degree of latitude and of longitude at a latitude, from the radii of curvature of WGS 84. */
export function metersPerDegree(lat: number): [perLat: number, perLon: number] {
  const sin = Math.sin(lat * RAD);
  const w2 = 1 - E2 * sin * sin;
  const across = WGS84.a / Math.sqrt(w2);
  return [(across * (1 - E2) * RAD) / w2, across * Math.cos(lat * RAD) * RAD];
}
