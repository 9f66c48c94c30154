import { EDGES, latOf, lonOf, timeOf } from './memory';
import { beginSteps, east, north, pause, stepTo } from './steps';

/** The doubts of `fixes.ts`, rule for rule; see there. */

const FIX_ERROR: f64 = 10;

let isFirst: bool = true;
/** First row at the place where the boat is, and time of the last. */
let heldLat: f64 = 0;
let heldLon: f64 = 0;
let heldSince: f64 = 0;
let heldUntil: f64 = 0;

/** A place was held for longer than is believed, so far. */
export let isHeld: bool = false;

export function beginFixes(): void {
  beginSteps();
  isFirst = true;
  isHeld = false;
}

/** Rows that cannot be reached from the one before, to `EDGES`. @returns How many. */
export function findApart(rows: i32, speed: f64, jump: f64, seconds: f64): i32 {
  let found: usize = 0;
  for (let row: usize = 0; row < <usize>rows; row++) {
    stepTo(row);
    const lat = latOf(row);
    const lon = lonOf(row);
    const time = timeOf(row);
    if (!isFirst) {
      const distance = Math.sqrt(east * east + north * north);
      const took = Math.abs(pause);
      if (!(took > 0 ? distance <= speed * took + FIX_ERROR : distance <= jump))
        store<i32>(EDGES + (found++ << 2), <i32>row);
    }
    if (isFirst || lat !== heldLat || lon !== heldLon) {
      if (!isFirst && heldUntil - heldSince > seconds) isHeld = true;
      heldLat = lat;
      heldLon = lon;
      heldSince = time;
    }
    heldUntil = time;
    isFirst = false;
  }
  return <i32>found;
}
