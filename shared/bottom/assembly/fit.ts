import { log } from './mathematics';
import {
  COEFFICIENTS,
  COLUMN,
  CORRELATIONS,
  DEPTHS,
  EASTS,
  ERRORS,
  FACTOR,
  FALL,
  NOISES,
  NORTHS,
  TABLE,
  TREND_COVARIANCE,
} from './memory';

/** The hot loops of `light-plain.ts`, rule for rule, two rows at a time in the lanes of one number; see there. */

const STEPS_PER_RANGE: f64 = 64;
/** Table steps beyond which correlation is taken as zero. */
const LAST: f64 = 512;
const TREND: f64 = 50;
const TILT_PRECISION: f64 = 1 / (0.5 * TREND * (0.5 * TREND));
const TINY: f64 = 1e-12;
/** Added to a whole number under 2^32 it shows it in its lower bits. */
const WHOLE: f64 = 4503599627370496;

/** See `fitPlainly`. @param more Factor on the noise of blocks, less 1. */
export function fit(
  real: i32,
  below: i32,
  range: f64,
  sill: f64,
  ratio: f64,
  cos: f64,
  sin: f64,
  more: f64,
  isAlike: bool,
): f64 {
  const n = (real + 3) & ~3;
  const rows = n + below;
  if (!isAlike) fillCorrelation(real, range, ratio, cos, sin);
  fillFactor(n, real, rows, sill, more);
  if (!factorRows(n, rows)) return -Infinity;
  const determinant = fitTrend(n, rows);
  if (!(determinant > 0)) return -Infinity;
  let logDeterminant: f64 = 0;
  const next = (<usize>(rows + 1)) << 3;
  let pivot = FACTOR;
  for (let k = 0; k < n; k += 4) {
    let product: f64 = 1;
    for (let m = 0; m < 4; m++, pivot += next) product *= load<f64>(pivot);
    logDeterminant += log(product);
  }
  return -logDeterminant - 0.5 * log(determinant) - 0.5 * load<f64>(FALL);
}

function fillCorrelation(n: i32, range: f64, ratio: f64, cos: f64, sin: f64): void {
  const step = STEPS_PER_RANGE / range;
  const alongEast = v128.splat<f64>((cos * step) / ratio);
  const alongNorth = v128.splat<f64>((sin * step) / ratio);
  const acrossEast = v128.splat<f64>(-sin * step);
  const acrossNorth = v128.splat<f64>(cos * step);
  const last = v128.splat<f64>(LAST);
  const whole = v128.splat<f64>(WHOLE);
  const end = (<usize>n) << 3;
  let column = CORRELATIONS;
  for (let j: usize = 0; j < end; j += 8, column += COLUMN) {
    const e = v128.load_splat<f64>(EASTS + j);
    const m = v128.load_splat<f64>(NORTHS + j);
    for (let i = j & ~15; i < end; i += 16) {
      const de = v128.sub<f64>(v128.load(EASTS + i), e);
      const dn = v128.sub<f64>(v128.load(NORTHS + i), m);
      const u = v128.add<f64>(v128.mul<f64>(alongEast, de), v128.mul<f64>(alongNorth, dn));
      const v = v128.add<f64>(v128.mul<f64>(acrossEast, de), v128.mul<f64>(acrossNorth, dn));
      const t = v128.sqrt<f64>(v128.add<f64>(v128.mul<f64>(u, u), v128.mul<f64>(v, v)));
      const s = v128.floor<f64>(v128.min<f64>(t, last));
      const places = v128.add<f64>(s, whole);
      const a = v128.load(TABLE + ((<usize>v128.extract_lane<u32>(places, 0)) << 3));
      const b = v128.load(TABLE + ((<usize>v128.extract_lane<u32>(places, 2)) << 3));
      const k = v128.shuffle<f64>(a, b, 0, 2);
      const next = v128.shuffle<f64>(a, b, 1, 3);
      const value = v128.add<f64>(k, v128.mul<f64>(v128.sub<f64>(t, s), v128.sub<f64>(next, k)));
      v128.store(column + i, v128.and(value, v128.lt<f64>(t, last)));
    }
  }
}

/** Covariance of `n` blocks, a multiple of 4 with `real` of them, and the trend below it, as `fillCovariance` and `fillTrend`. */
function fillFactor(n: i32, real: i32, rows: i32, sill: f64, more: f64): void {
  const size = (<usize>n) << 3;
  const end = (<usize>real) << 3;
  const height = (<usize>rows) << 3;
  const sills = v128.splat<f64>(sill);
  let column = FACTOR;
  let from: usize = 0;
  for (let j: usize = 0; j < end; j += 8, column += height, from += COLUMN) {
    for (let i = j & ~15; i < end; i += 16) {
      const bottom = v128.mul<f64>(sills, v128.load(CORRELATIONS + from + i));
      v128.store(column + i, v128.add<f64>(v128.load(ERRORS + from + i), bottom));
    }
    if (end < size) v128.store(column + end, v128.splat<f64>(0));
    store<f64>(column + j, load<f64>(column + j) + more * load<f64>(NOISES + j));
    store<f64>(column + size, 1);
    store<f64>(column + size + 8, load<f64>(EASTS + j) / TREND);
    store<f64>(column + size + 16, load<f64>(NORTHS + j) / TREND);
    store<f64>(column + size + 24, load<f64>(DEPTHS + j));
  }
  // Blocks that there are not: the unit matrix, which changes nothing.
  for (let j = end; j < size; j += 8, column += height) {
    for (let i = j; i < height; i += 8) store<f64>(column + i, i === j ? 1 : 0);
  }
}

/** As `factorRows`: four columns at a time. @returns false when not positive definite. */
function factorRows(n: i32, rows: i32): bool {
  const size = (<usize>n) << 3;
  const height = (<usize>rows) << 3;
  for (let j: usize = 0; j < size; j += 32) {
    const column = FACTOR + (j >> 3) * height;
    for (let i = j; i < height; i += 32) {
      subtractBefore(column, i, j, height);
      if (i === j) {
        if (!factorFour(column + i, height)) return false;
      } else solveFour(column + i, column + j, height);
    }
  }
  return true;
}

/** Takes from four rows and columns what the columns before explain. */
function subtractBefore(column: usize, i: usize, j: usize, height: usize): void {
  const c1 = column + height;
  const c2 = c1 + height;
  const c3 = c2 + height;
  let a0 = v128.load(column + i);
  let b0 = v128.load(column + i, 16);
  let a1 = v128.load(c1 + i);
  let b1 = v128.load(c1 + i, 16);
  let a2 = v128.load(c2 + i);
  let b2 = v128.load(c2 + i, 16);
  let a3 = v128.load(c3 + i);
  let b3 = v128.load(c3 + i, 16);
  for (let k = FACTOR; k < column; k += height) {
    const p = v128.load(k + i);
    const q = v128.load(k + i, 16);
    const r0 = v128.load_splat<f64>(k + j);
    a0 = v128.sub<f64>(a0, v128.mul<f64>(p, r0));
    b0 = v128.sub<f64>(b0, v128.mul<f64>(q, r0));
    const r1 = v128.load_splat<f64>(k + j, 8);
    a1 = v128.sub<f64>(a1, v128.mul<f64>(p, r1));
    b1 = v128.sub<f64>(b1, v128.mul<f64>(q, r1));
    const r2 = v128.load_splat<f64>(k + j, 16);
    a2 = v128.sub<f64>(a2, v128.mul<f64>(p, r2));
    b2 = v128.sub<f64>(b2, v128.mul<f64>(q, r2));
    const r3 = v128.load_splat<f64>(k + j, 24);
    a3 = v128.sub<f64>(a3, v128.mul<f64>(p, r3));
    b3 = v128.sub<f64>(b3, v128.mul<f64>(q, r3));
  }
  v128.store(column + i, a0);
  v128.store(column + i, b0, 16);
  v128.store(c1 + i, a1);
  v128.store(c1 + i, b1, 16);
  v128.store(c2 + i, a2);
  v128.store(c2 + i, b2, 16);
  v128.store(c3 + i, a3);
  v128.store(c3 + i, b3, 16);
}

/** Cholesky factor of the four by four at a place, in place. */
function factorFour(at: usize, height: usize): bool {
  for (let c: usize = 0; c < 4; c++) {
    const column = at + c * height;
    for (let r = c; r < 4; r++) {
      let x = load<f64>(column + (r << 3));
      for (let m = at; m < column; m += height) x -= load<f64>(m + (r << 3)) * load<f64>(m + (c << 3));
      store<f64>(column + (r << 3), x);
    }
    const pivot = load<f64>(column + (c << 3));
    if (!(pivot > TINY)) return false;
    const d = Math.sqrt(pivot);
    store<f64>(column + (c << 3), d);
    for (let r = c + 1; r < 4; r++) store<f64>(column + (r << 3), load<f64>(column + (r << 3)) * (1 / d));
  }
  return true;
}

/** Solves four rows at a place with the factor of four on the diagonal. */
function solveFour(at: usize, d0: usize, height: usize): void {
  const d1 = d0 + height;
  const d2 = d1 + height;
  const d3 = d2 + height;
  const inverse0 = v128.splat<f64>(1 / load<f64>(d0));
  const inverse1 = v128.splat<f64>(1 / load<f64>(d1, 8));
  const inverse2 = v128.splat<f64>(1 / load<f64>(d2, 16));
  const inverse3 = v128.splat<f64>(1 / load<f64>(d3, 24));
  for (let half = at; half < at + 32; half += 16) {
    const c0 = v128.mul<f64>(v128.load(half), inverse0);
    let c1 = v128.sub<f64>(v128.load(half + height), v128.mul<f64>(c0, v128.load_splat<f64>(d0, 8)));
    c1 = v128.mul<f64>(c1, inverse1);
    let c2 = v128.sub<f64>(v128.load(half + 2 * height), v128.mul<f64>(c0, v128.load_splat<f64>(d0, 16)));
    c2 = v128.sub<f64>(c2, v128.mul<f64>(c1, v128.load_splat<f64>(d1, 16)));
    c2 = v128.mul<f64>(c2, inverse2);
    let c3 = v128.sub<f64>(v128.load(half + 3 * height), v128.mul<f64>(c0, v128.load_splat<f64>(d0, 24)));
    c3 = v128.sub<f64>(c3, v128.mul<f64>(c1, v128.load_splat<f64>(d1, 24)));
    c3 = v128.sub<f64>(c3, v128.mul<f64>(c2, v128.load_splat<f64>(d2, 24)));
    c3 = v128.mul<f64>(c3, inverse3);
    v128.store(half, c0);
    v128.store(half + height, c1);
    v128.store(half + 2 * height, c2);
    v128.store(half + 3 * height, c3);
  }
}

/** See there. @returns determinant of its information. */
function fitTrend(n: i32, rows: i32): f64 {
  let oneOne: f64 = 0;
  let oneEast: f64 = 0;
  let oneNorth: f64 = 0;
  let oneDepth: f64 = 0;
  let eastEast: f64 = 0;
  let eastNorth: f64 = 0;
  let eastDepth: f64 = 0;
  let northNorth: f64 = 0;
  let northDepth: f64 = 0;
  let depthDepth: f64 = 0;
  const height = (<usize>rows) << 3;
  let at = FACTOR + ((<usize>n) << 3);
  for (let k = 0; k < n; k++, at += height) {
    const one = load<f64>(at);
    const east = load<f64>(at, 8);
    const north = load<f64>(at, 16);
    const depth = load<f64>(at, 24);
    oneOne += one * one;
    oneEast += one * east;
    oneNorth += one * north;
    oneDepth += one * depth;
    eastEast += east * east;
    eastNorth += east * north;
    eastDepth += east * depth;
    northNorth += north * north;
    northDepth += north * depth;
    depthDepth += depth * depth;
  }
  eastEast += TILT_PRECISION;
  northNorth += TILT_PRECISION;
  const aa = eastEast * northNorth - eastNorth * eastNorth;
  const ab = oneNorth * eastNorth - oneEast * northNorth;
  const ac = oneEast * eastNorth - oneNorth * eastEast;
  const bc = oneEast * oneNorth - oneOne * eastNorth;
  const bb = oneOne * northNorth - oneNorth * oneNorth;
  const cc = oneOne * eastEast - oneEast * oneEast;
  const determinant = oneOne * aa + oneEast * ab + oneNorth * ac;
  let fall = depthDepth;
  fall -=
    coefficient(0, aa / determinant, ab / determinant, ac / determinant, oneDepth, eastDepth, northDepth) *
    oneDepth;
  fall -=
    coefficient(1, ab / determinant, bb / determinant, bc / determinant, oneDepth, eastDepth, northDepth) *
    eastDepth;
  fall -=
    coefficient(2, ac / determinant, bc / determinant, cc / determinant, oneDepth, eastDepth, northDepth) *
    northDepth;
  store<f64>(FALL, fall);
  return determinant;
}

/** Keeps a row of the coefficients' covariance, and the coefficient that it makes of the right-hand side. */
function coefficient(row: usize, x: f64, y: f64, z: f64, one: f64, east: f64, north: f64): f64 {
  store<f64>(TREND_COVARIANCE + 24 * row, x);
  store<f64>(TREND_COVARIANCE + 24 * row, y, 8);
  store<f64>(TREND_COVARIANCE + 24 * row, z, 16);
  const value = x * one + y * east + z * north;
  store<f64>(COEFFICIENTS + 8 * row, value);
  return value;
}
