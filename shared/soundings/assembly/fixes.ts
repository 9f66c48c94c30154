import { latOf, lonOf, timeOf } from './memory';
import { beginSteps, east, north, pause, stepTo } from './steps';

const FIX_ERROR: f64 = 10;

let isFirst: bool = true;
/** First row at the place where the boat is, and time of the last. */
let heldLat: f64 = 0;
let heldLon: f64 = 0;
let heldSince: f64 = 0;
let heldUntil: f64 = 0;

export function beginFixes(): void {
  beginSteps();
  isFirst = true;
}

/** True while every row can be reached from the one before, and none stands still for longer than `seconds` and moves on. */
export function areOrdinary(rows: i32, speed: f64, jump: f64, seconds: f64): bool {
  for (let row: usize = 0; row < <usize>rows; row++) {
    stepTo(row);
    const lat = latOf(row);
    const lon = lonOf(row);
    const time = timeOf(row);
    if (!isFirst) {
      const distance = Math.sqrt(east * east + north * north);
      const took = Math.abs(pause);
      if (!(took > 0 ? distance <= speed * took + FIX_ERROR : distance <= jump)) return false;
    }
    if (isFirst || lat !== heldLat || lon !== heldLon) {
      if (!isFirst && heldUntil - heldSince > seconds) return false;
      heldLat = lat;
      heldLon = lon;
      heldSince = time;
    }
    heldUntil = time;
    isFirst = false;
  }
  return true;
}
