import type { Soundings } from '../contract/index.ts';
import { metersPerDegree } from '../geo/index.ts';

/** Where a boat was, and when. */
export type Track = Pick<Soundings, 'count' | 'lat' | 'lon' | 'time'>;

/** Change of latitude after which radii of curvature are recomputed, deg: an error under 1e-5 at 60 degrees. */
const LATITUDE_STEP = 0.0005;

/**
 * Step to each row from the previous row of a log, east and north in meters on the ellipsoid, the short way across the
 * 180th meridian; entry 0 is 0.
 *
 * Each step is flat, with the radii of curvature at the later row: within 1e-4 of the distance for steps up
 * to 1 km below 70 degrees of latitude. Longer steps only need to be recognized as long.
 */
export function stepsOf({ count, lat, lon }: Omit<Track, 'time'>) {
  const east = new Float64Array(count);
  const north = new Float64Array(count);
  let scaled = Number.NaN;
  let [perLat, perLon] = [0.5, 0.5];
  for (let i = 1; i < count; i++) {
    if (!(Math.abs(lat[i] - scaled) < LATITUDE_STEP)) {
      scaled = lat[i];
      [perLat, perLon] = metersPerDegree(scaled);
    }
    east[i] = shortTurn(lon[i] - lon[i - 1]) * perLon;
    north[i] = (lat[i] - lat[i - 1]) * perLat;
  }
  return { east, north };
}

/** A difference of longitudes the short way around, deg. */
export const shortTurn = (turn: number): number =>
  turn > 180 ? turn - 360 : turn < -180 ? turn + 360 : turn;

/** Distance between two places, m, on a plane at the latitude of the second; see `stepsOf` for the accuracy. */
export function distanceBetween(lat1: number, lon1: number, lat2: number, lon2: number): number {
  const [perLat, perLon] = metersPerDegree(lat2);
  const turn = lon2 - lon1 - 360 * Math.round((lon2 - lon1) / 360);
  return Math.hypot(turn * perLon, (lat2 - lat1) * perLat);
}

/** Longest step, m, and longest pause, s, in a run of the boat: about ten times the usual at idle speed. */
const LONGEST = { gap: 20, pause: 30 } as const;

/** True where the log is interrupted between two soundings: they are far apart in place or time, or time goes backward. */
export const isInterrupted = (
  step: number,
  pause: number,
  longest: { readonly gap: number; readonly pause: number } = LONGEST,
): boolean => step > longest.gap || pause > longest.pause || pause < 0;

/** East and north of all rows relative to the first, m, on a flat frame: accurate enough to compare passes. */
export function flatten({ lat, lon }: Pick<Soundings, 'lat' | 'lon'>) {
  const [perLat, perLon] = metersPerDegree(lat[0] ?? 0);
  return {
    east: lon.map((own) => shortTurn(own - lon[0]) * perLon),
    north: lat.map((own) => (own - lat[0]) * perLat),
  };
}

/** True for one of every `share` cells, chosen evenly by a multiplicative hash (Knuth's constant). */
export function isSampled(column: number, row: number, share: number): boolean {
  const mixed = Math.imul(column, 0x9e3779b1) ^ Math.imul(row, 0x85ebca6b);
  return (Math.imul(mixed ^ (mixed >>> 15), 0x2c1b3c6d) >>> 8) % share === 0;
}
