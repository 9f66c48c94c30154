import {
  cellEasts,
  cellNorths,
  cellOf,
  depthOf,
  latOf,
  lonOf,
  means,
  passOf,
  reserveMeans,
  rows,
  weights,
} from './memory';
import { isSpike } from './spikes';
import { cellCount, perDegree, perDegreeEast } from './table';

/** Records of the cells as in `cell-means.ts`. */

const SIDE: f64 = 8;
const LEAST_STEP: f64 = 2;
const LONGEST_STEP: f64 = 20;
const INDEPENDENT: f64 = 4;

/** A record, in bytes: as `CELL` has them. */
const NORTH: usize = 0;
const EAST: usize = 8;
const LAT: usize = 16;
const LON: usize = 24;
const DEPTH: usize = 32;
const WEIGHT: usize = 40;
const TRACK: usize = 48;
const DIFFERENCE: usize = 56;
const DIFFERENCES: usize = 64;
const CELL_BYTES: usize = 72;

function add(record: usize, value: f64): void {
  store<f64>(record, load<f64>(record) + value);
}

/** False where there is no memory for it. */
export function beginMeans(): bool {
  return reserveMeans(<usize>cellCount * CELL_BYTES);
}

/** Adds rows to the records of their cells. */
export function addRows(from: i32, to: i32): void {
  for (let i = from; i < to; i++) addRow(i);
}

/** Sums to means. */
export function endMeans(): void {
  for (let k: usize = 0; k < <usize>cellCount; k++) {
    const record = means + k * CELL_BYTES;
    const weight = load<f64>(record, WEIGHT);
    store<f64>(record, <f64>load<i32>(cellNorths + (k << 2)), NORTH);
    store<f64>(record, <f64>load<i32>(cellEasts + (k << 2)), EAST);
    store<f64>(record, load<f64>(record, LAT) / weight, LAT);
    store<f64>(record, load<f64>(record, LON) / weight, LON);
    store<f64>(record, load<f64>(record, DEPTH) / weight, DEPTH);
  }
}

function addRow(i: i32): void {
  const cell = load<i32>(cellOf + ((<usize>i) << 2));
  const depth = depthOf(i);
  if (cell < 0 || isSpike(i) || !(depth < Infinity)) return;
  const record = means + <usize>cell * CELL_BYTES;
  const w = <f64>load<f32>(weights + ((<usize>i) << 2));
  add(record + LAT, w * latOf(i));
  add(record + LON, w * lonOf(i));
  add(record + DEPTH, w * depth);
  add(record + WEIGHT, w);
  if (i === 0 || passOf(i - 1) !== passOf(i)) return;
  const north = (latOf(i) - latOf(i - 1)) * perDegree();
  const east = (lonOf(i) - lonOf(i - 1)) * perDegreeEast(load<i32>(cellNorths + ((<usize>cell) << 2)));
  const step = SIDE * Math.sqrt(north * north + east * east);
  if (step >= LEAST_STEP && step < LONGEST_STEP) add(record + TRACK, step);
  if (i + 1 === rows || passOf(i + 1) !== passOf(i) || isSpike(i - 1) || isSpike(i + 1)) return;
  const difference = Math.abs(depthOf(i - 1) - 2 * depth + depthOf(i + 1));
  add(record + DIFFERENCE, difference * Math.sqrt(Math.min(w, INDEPENDENT)));
  add(record + DIFFERENCES, 1);
}
