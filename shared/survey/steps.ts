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

/**
 * Longest step, m, and pause, s, between two soundings that belong together; a boat at idle speed stays at a
 * tenth of either.
 */
export const LONGEST_STEP = 20;
export const LONGEST_PAUSE = 30;
