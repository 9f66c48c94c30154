import { cholesky, type TriangleLayout } from '../math/index.ts';

/**
 * Symmetric positive definite matrix whose entries lie within `band` of the diagonal, and its Cholesky factor in place.
 *
 * Rows are padded with zeros on the left, as the factor reads a little over the edge of the band.
 */
export interface BandMatrix extends Required<TriangleLayout> {
  readonly size: number;
  readonly values: Float64Array;
}

/** Zeros to the left of the band of a row. */
const PADDING = 6;

export function bandMatrix(size: number, band: number): BandMatrix {
  const stride = band + PADDING;
  return { size, band, stride, start: stride, values: new Float64Array((size + 1) * (stride + 1)) };
}

/** Adds to entry (i, j), j <= i <= j + band. */
export function addToBand({ stride, start, values }: BandMatrix, i: number, j: number, value: number): void {
  values[start + i * stride + j] += value;
}

/**
 * Cholesky factor L in place, a = L L^T.
 *
 * @throws Error when the matrix is not positive definite: a defect of its maker.
 */
export function factorBand({ size, values, ...layout }: BandMatrix): void {
  if (!cholesky(values, size, layout)) throw new Error('Band matrix is not positive definite');
}

/**
 * Solves L L^T x = b for four right-hand sides at once, in place, from the factor: each entry of L is loaded once for four.
 */
export function solveBand(
  { size, band, stride, start, values: a }: BandMatrix,
  sides: readonly [Float64Array, Float64Array, Float64Array, Float64Array],
): void {
  const [b0, b1, b2, b3] = sides;
  for (let i = 0; i < size; i++) {
    const row = start + i * stride;
    let [s0, s1, s2, s3] = [b0[i], b1[i], b2[i], b3[i]];
    for (let k = Math.max(0, i - band); k < i; k++) {
      const l = a[row + k];
      s0 -= l * b0[k];
      s1 -= l * b1[k];
      s2 -= l * b2[k];
      s3 -= l * b3[k];
    }
    const pivot = 1 / a[row + i];
    b0[i] = s0 * pivot;
    b1[i] = s1 * pivot;
    b2[i] = s2 * pivot;
    b3[i] = s3 * pivot;
  }
  for (let i = size - 1; i >= 0; i--) {
    const row = start + i * stride;
    const pivot = 1 / a[row + i];
    const x0 = b0[i] * pivot;
    const x1 = b1[i] * pivot;
    const x2 = b2[i] * pivot;
    const x3 = b3[i] * pivot;
    b0[i] = x0;
    b1[i] = x1;
    b2[i] = x2;
    b3[i] = x3;
    for (let k = Math.max(0, i - band); k < i; k++) {
      const l = a[row + k];
      b0[k] -= l * x0;
      b1[k] -= l * x1;
      b2[k] -= l * x2;
      b3[k] -= l * x3;
    }
  }
}
