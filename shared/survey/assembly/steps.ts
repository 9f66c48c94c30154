import { cos, sin } from './mathematics';
import { latOf, lonOf, timeOf } from './memory';

/** Steps along a log as in `steps.ts` of the plain form, row by row, over any number of stretches. */

const RAD: f64 = Math.PI / 180;
/** WGS 84. */
const A: f64 = 6378137;
const F: f64 = 1 / 298.257223563;
const E2: f64 = F * (2 - F);
const LATITUDE_STEP: f64 = 0.0005;

export let perLat: f64 = 0;
export let perLon: f64 = 0;
let scaleLat: f64 = NaN;

/** The row before, of this stretch or the last. */
let lat0: f64 = 0;
let lon0: f64 = 0;
let time0: f64 = 0;

/** The step to the row at hand, m, and the time that it took, s. */
export let east: f64 = 0;
export let north: f64 = 0;
export let pause: f64 = 0;

let isFirst: bool = true;

/** Begins at the first row of a log. */
export function beginSteps(): void {
  scaleLat = NaN;
  isFirst = true;
}

/** Takes the step to a row; there is none to the first of a log. */
export function stepTo(row: usize): void {
  const lat = latOf(row);
  const lon = lonOf(row);
  const time = timeOf(row);
  if (isFirst) isFirst = false;
  else {
    if (!(Math.abs(lat - scaleLat) < LATITUDE_STEP)) {
      scaleLat = lat;
      setScale(lat);
    }
    east = shortTurn(lon - lon0) * perLon;
    north = (lat - lat0) * perLat;
    pause = time - time0;
  }
  lat0 = lat;
  lon0 = lon;
  time0 = time;
}

export function shortTurn(turn: f64): f64 {
  return turn > 180 ? turn - 360 : turn < -180 ? turn + 360 : turn;
}

/** Meters per degree at a latitude. */
export function setScale(lat: f64): void {
  const s = sin(lat * RAD);
  const w2 = 1 - E2 * s * s;
  const across = A / Math.sqrt(w2);
  perLat = (across * (1 - E2) * RAD) / w2;
  perLon = across * cos(lat * RAD) * RAD;
}
