import { hypot } from './mathematics';
import { depthOf, latOf, lonOf, passOf, rows, spikes } from './memory';

/** Spikes of each pass as in `bottom/spikes.ts`. */

const SPIKE_LEAST: f64 = 0.6;
const LONGEST_SPIKE: i32 = 3;
const CLIFF: f64 = 1;

let perEast: f64 = 0;
let perNorth: f64 = 0;
/** The pass looked at: rows `[start, end)`. */
let start: i32 = 0;
let end: i32 = 0;

export function isSpike(row: i32): bool {
  return load<u8>(spikes + <usize>row) !== 0;
}

/** Of the nearest row of the pass. */
function depthNear(row: i32): f64 {
  return depthOf(max(start, min(end - 1, row)));
}

function mark(row: i32): void {
  store<u8>(spikes + <usize>row, 1);
}

export function setMeters(east: f64, north: f64): void {
  perEast = east;
  perNorth = north;
}

/** Marks the spikes of the pass that begins at a row. @returns Row after it. */
export function findSpikes(first: i32): i32 {
  start = first;
  end = first + 1;
  while (end < rows && passOf(end) === passOf(end - 1)) end++;
  markSingle();
  markRuns();
  return end;
}

function markSingle(): void {
  for (let i = start; i < end; i++) {
    const d = depthOf(i);
    if (!(d > 0)) {
      mark(i);
      continue;
    }
    if (i > start && Math.abs(d - depthOf(i - 1)) <= SPIKE_LEAST) continue;
    const before = i > start ? depthOf(i - 1) : depthNear(i + 1);
    const after = i < end - 1 ? depthOf(i + 1) : depthNear(i - 1);
    const stand = Math.min(Math.abs(d - before), Math.abs(d - after));
    if (stand <= SPIKE_LEAST || (d - before) * (d - after) < 0) continue;
    const around = Math.max(
      Math.max(Math.abs(before - depthNear(i - 2)), Math.abs(after - depthNear(i + 2))),
      Math.abs(before - after),
    );
    if (stand > 2.5 * around + 0.3) mark(i);
  }
}

/** Change of depth from one row to another, m, where it is steeper than a cliff; 0 otherwise. */
function jump(from: i32, to: i32): f64 {
  const change = depthOf(to) - depthOf(from);
  if (!(Math.abs(change) > SPIKE_LEAST)) return 0;
  const distance = hypot(perEast * (lonOf(to) - lonOf(from)), perNorth * (latOf(to) - latOf(from)));
  return Math.abs(change) > CLIFF * distance ? change : 0;
}

function markRuns(): void {
  let before = -1;
  for (let i = start; i < end; i++) {
    if (isSpike(i)) continue;
    const isCalm = before < 0 || Math.abs(depthOf(i) - depthOf(before)) <= SPIKE_LEAST;
    const off: f64 = isCalm ? 0 : jump(before, i);
    const last = off === 0 ? -1 : endOfSpike(i, off);
    if (last < 0) before = i;
    for (let k = i; k <= last; k++) mark(k);
    if (last > i) i = last;
  }
}

/** Last of the rows from `first` on before the bottom jumps back; -1 when it does not. */
function endOfSpike(first: i32, off: f64): i32 {
  let before = first;
  let count = 1;
  for (let i = first + 1; i < end && count <= LONGEST_SPIKE; i++) {
    if (isSpike(i)) continue;
    if (jump(before, i) * off < 0) return before;
    before = i;
    count++;
  }
  return -1;
}
