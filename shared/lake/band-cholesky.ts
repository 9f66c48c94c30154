import { cholesky, type TriangleLayout } from '../math/index.ts';

/**
 * Lower triangle of a symmetric positive definite matrix with nonzero entries only within `band` of the
 * diagonal. `factorBand` replaces the matrix with its Cholesky factor L.
 *
 * Rows are padded with zeros on the left, because the factorization reads slightly beyond the band.
 */
export interface BandMatrix extends Required<TriangleLayout> {
  readonly size: number;
  readonly values: Float64Array;
}

const PADDING = 6;

export function bandMatrix(size: number, band: number): BandMatrix {
  const stride = band + PADDING;
  return { size, band, stride, start: stride, values: new Float64Array((size + 1) * (stride + 1)) };
}

/** Adds a value to entry (i, j), where j <= i <= j + band. */
export function addToBand({ stride, start, values }: BandMatrix, i: number, j: number, value: number): void {
  values[start + i * stride + j] += value;
}

/**
 * Computes the Cholesky factor L of a matrix A in place, A = L L^T.
 *
 * @throws Error when the matrix is not positive definite, which is a defect of the caller.
 */
export function factorBand({ size, values, ...layout }: BandMatrix): void {
  if (!cholesky(values, size, layout)) throw new Error('Band matrix is not positive definite');
}

/** Number of right-hand sides solved together, so that each entry of L is loaded once for all of them. */
export const SIDES = 4;

type Side = Float64Array;
export type FourSides = readonly [Side, Side, Side, Side];

/**
 * Solves L x = b in place for `SIDES` right-hand sides at once, given the factor, two rows at a time.
 *
 * @param from An even row before which all sides are 0.
 */
export function solveBandForward(
  { size, band, stride, start, values: a }: BandMatrix,
  [b0, b1, b2, b3]: FourSides,
  from = 0,
): void {
  for (let i = from; i < size; i += 2) {
    const p = start + i * stride;
    // With an odd number of rows, the last pair has only one row.
    const q = i + 1 < size ? p + stride : p;
    const first = Math.max(from, i - band);
    let [p0, p1, p2, p3] = [0, 0, 0, 0];
    let [q0, q1, q2, q3] = [0, 0, 0, 0];
    for (let k = first; k < i; k++) {
      const lp = a[p + k];
      const lq = a[q + k];
      const x0 = b0[k];
      const x1 = b1[k];
      const x2 = b2[k];
      const x3 = b3[k];
      p0 += lp * x0;
      p1 += lp * x1;
      p2 += lp * x2;
      p3 += lp * x3;
      q0 += lq * x0;
      q1 += lq * x1;
      q2 += lq * x2;
      q3 += lq * x3;
    }
    const pivot = 1 / a[p + i];
    b0[i] = (b0[i] - p0) * pivot;
    b1[i] = (b1[i] - p1) * pivot;
    b2[i] = (b2[i] - p2) * pivot;
    b3[i] = (b3[i] - p3) * pivot;
    if (q === p) continue;
    const l = a[q + i];
    const next = 1 / a[q + i + 1];
    b0[i + 1] = (b0[i + 1] - q0 - l * b0[i]) * next;
    b1[i + 1] = (b1[i + 1] - q1 - l * b1[i]) * next;
    b2[i + 1] = (b2[i + 1] - q2 - l * b2[i]) * next;
    b3[i + 1] = (b3[i + 1] - q3 - l * b3[i]) * next;
  }
}

/** Solves L^T x = b in place for `SIDES` right-hand sides at once, given the factor, two rows at a time. */
export function solveBandBackward(
  { size, band, stride, start, values: a }: BandMatrix,
  [b0, b1, b2, b3]: FourSides,
): void {
  for (let i = size - 1; i >= 0; i -= 2) {
    const p = start + i * stride;
    const pivot = 1 / a[p + i];
    const p0 = b0[i] * pivot;
    const p1 = b1[i] * pivot;
    const p2 = b2[i] * pivot;
    const p3 = b3[i] * pivot;
    b0[i] = p0;
    b1[i] = p1;
    b2[i] = p2;
    b3[i] = p3;
    if (i === 0) return;
    const q = p - stride;
    const l = a[p + i - 1];
    const next = 1 / a[q + i - 1];
    const q0 = (b0[i - 1] - l * p0) * next;
    const q1 = (b1[i - 1] - l * p1) * next;
    const q2 = (b2[i - 1] - l * p2) * next;
    const q3 = (b3[i - 1] - l * p3) * next;
    b0[i - 1] = q0;
    b1[i - 1] = q1;
    b2[i - 1] = q2;
    b3[i - 1] = q3;
    // Row i - 1 reaches one column farther to the left than row i. Row i is padded with 0 there.
    for (let k = Math.max(0, i - 1 - band); k < i - 1; k++) {
      const lp = a[p + k];
      const lq = a[q + k];
      b0[k] -= lp * p0 + lq * q0;
      b1[k] -= lp * p1 + lq * q1;
      b2[k] -= lp * p2 + lq * q2;
      b3[k] -= lp * p3 + lq * q3;
    }
  }
}
