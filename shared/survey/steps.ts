import { metersPerDegree } from '../geo/index.ts';

/**
 * Change of latitude after which the radii of curvature are recomputed, deg: an error under 1e-5 of a
 * distance at 60 degrees.
 */
const LATITUDE_STEP = 0.0005;

/** Step to each row from the previous row of a log, east and north in meters; entry 0 is 0. */
export interface Steps {
  readonly east: Float64Array;
  readonly north: Float64Array;
}

/**
 * Steps between neighboring rows, in meters on the ellipsoid, the short way across the 180th meridian.
 *
 * Each step is flat, with the radii of curvature at the later row: within 1e-4 of the distance for steps up
 * to 1 km below 70 degrees of latitude. Longer steps only need to be recognized as long.
 */
export function stepsOf(log: {
  readonly count: number;
  readonly lat: Float64Array;
  readonly lon: Float64Array;
}): Steps {
  const { count, lat, lon } = log;
  const east = new Float64Array(count);
  const north = new Float64Array(count);
  const scale = createScale();
  for (let i = 1; i < count; i++) {
    scaleAt(scale, lat[i]);
    east[i] = shortTurn(lon[i] - lon[i - 1]) * scale.perLon;
    north[i] = (lat[i] - lat[i - 1]) * scale.perLat;
  }
  return { east, north };
}

/**
 * Meters per degree along a log, updated as a loop walks its steps from row 1 on; each loop creates its own.
 */
export interface Scale {
  /** Latitude that the scale was computed at, deg. */
  lat: number;
  perLat: number;
  perLon: number;
}

export const createScale = (): Scale => ({ lat: Number.NaN, perLat: 0.5, perLon: 0.5 });

/** Updates a scale for the next row of its log; rows must be visited in order, as `stepsOf` does. */
export function scaleAt(scale: Scale, lat: number): void {
  if (Math.abs(lat - scale.lat) < LATITUDE_STEP) return;
  scale.lat = lat;
  [scale.perLat, scale.perLon] = metersPerDegree(lat);
}

/** A difference of longitudes the short way around, deg. */
export const shortTurn = (turn: number): number =>
  turn > 180 ? turn - 360 : turn < -180 ? turn + 360 : turn;

/**
 * Number of rows that a loop over a log handles in one call.
 *
 * The JavaScript engine optimizes a function while it runs but often uses the optimized code only from the
 * next call on, so a loop over a log is split into calls of this many rows.
 */
export const STRETCH = 2048;

/** Distance between two places, m, on a plane at the latitude of the second; see `stepsOf` for the accuracy. */
export function distanceBetween(lat1: number, lon1: number, lat2: number, lon2: number): number {
  const [perLat, perLon] = metersPerDegree(lat2);
  const turn = lon2 - lon1 - 360 * Math.round((lon2 - lon1) / 360);
  return Math.hypot(turn * perLon, (lat2 - lat1) * perLat);
}

/**
 * Longest step, m, and pause, s, between two soundings that belong together; a boat at idle speed stays at a
 * tenth of either.
 */
export const LONGEST_STEP = 20;
export const LONGEST_PAUSE = 30;
