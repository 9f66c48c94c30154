import type { Soundings } from '../contract/index.ts';
import { metersPerDegree } from '../geo/index.ts';

export type Track = Pick<Soundings, 'count' | 'lat' | 'lon' | 'time'>;

/** Change in latitude after which scales are recomputed, deg: a relative error of 1.5e-5 at 60 degrees. */
const LATITUDE_STEP = 0.0005;

/**
 * Returns the step to each row from the row before, east and north in m; 0 for the first row.
 *
 * Each step is measured on a plane at its later row, the short way across the 180th meridian. Its length is
 * within 1e-4 of the geodesic for steps up to 1 km below 70 degrees of latitude.
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

/** Wraps a difference of two longitudes to [-180, 180], deg. */
export const shortTurn = (turn: number): number =>
  turn > 180 ? turn - 360 : turn < -180 ? turn + 360 : turn;

/** Returns the distance between two positions, m, on a plane at the second; as accurate as `stepsOf`. */
export function distanceBetween(lat1: number, lon1: number, lat2: number, lon2: number): number {
  const [perLat, perLon] = metersPerDegree(lat2);
  const turn = lon2 - lon1 - 360 * Math.round((lon2 - lon1) / 360);
  return Math.hypot(turn * perLon, (lat2 - lat1) * perLat);
}

/** Maximum step (`gap`, m) and pause (s) without an interruption; judgment. */
const LONGEST = { gap: 20, pause: 30 } as const;

/** True when a step, m, or pause, s, interrupts a log: it is too long, or the pause is negative. */
export const isInterrupted = (
  step: number,
  pause: number,
  longest: { readonly gap: number; readonly pause: number } = LONGEST,
): boolean => step > longest.gap || pause > longest.pause || pause < 0;

/** Returns all positions relative to the first row, m, on a plane: accurate enough to compare passes. */
export function flatten({ lat, lon }: Pick<Soundings, 'lat' | 'lon'>) {
  const [perLat, perLon] = metersPerDegree(lat[0] ?? 0);
  return {
    east: lon.map((own) => shortTurn(own - lon[0]) * perLon),
    north: lat.map((own) => (own - lat[0]) * perLat),
  };
}

/** True for about one of every `share` cells, spread evenly by a hash of column and row. */
export function isSampled(column: number, row: number, share: number): boolean {
  const mixed = Math.imul(column, 0x9e3779b1) ^ Math.imul(row, 0x85ebca6b);
  return (Math.imul(mixed ^ (mixed >>> 15), 0x2c1b3c6d) >>> 8) % share === 0;
}
