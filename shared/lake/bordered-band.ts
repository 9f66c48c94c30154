import { cholesky, solveLower, solveLowerTransposed } from '../math/index.ts';
import {
  type BandMatrix,
  bandMatrix,
  type FourSides,
  factorBand,
  SIDES,
  solveBandBackward,
  solveBandForward,
} from './band-cholesky.ts';

/**
 * Symmetric positive definite matrix. Most unknowns are coupled only within a band. A few more unknowns, the
 * border, may be coupled with any unknown. `factorBordered` replaces the matrix with its Cholesky factor.
 */
export interface BorderedBand {
  readonly band: BandMatrix;
  /** Couplings of each border unknown with the band, then rows of zeros up to a multiple of `SIDES`. */
  readonly rows: readonly Float64Array[];
  /** Index of the first nonzero entry in each border unknown's row; the row's length if there is none. */
  readonly first: Int32Array;
  /** Couplings within the border, row-major; only the lower triangle is used. */
  readonly corner: Float64Array;
}

/** Returns a matrix of zeros. @param border Number of unknowns in the border. */
export function borderedBand(size: number, band: number, border: number): BorderedBand {
  return {
    band: bandMatrix(size, band),
    rows: Array.from({ length: SIDES * Math.ceil(border / SIDES) }, () => new Float64Array(size)),
    first: new Int32Array(border).fill(size),
    corner: new Float64Array(border * border),
  };
}

/** Adds `value` to the coupling between unknown `row` of the border and unknown `at` of the band. */
export function addToBorder({ rows, first }: BorderedBand, row: number, at: number, value: number): void {
  rows[row][at] += value;
  if (at < first[row]) first[row] = at;
}

/**
 * Computes the Cholesky factor in place.
 *
 * @throws Error when the matrix is not positive definite, which is a defect of the caller.
 */
export function factorBordered({ band, rows, first, corner }: BorderedBand): void {
  factorBand(band);
  const count = first.length;
  for (let k = 0; k < count; k += SIDES)
    solveBandForward(band, four(rows, k), Math.min(...first.subarray(k, k + SIDES)) & ~1);
  for (let i = 0; i < count; i++)
    for (let k = 0; k <= i; k += SIDES)
      products(rows[i], four(rows, k), first[i]).forEach((value, j) => {
        if (k + j <= i) corner[i * count + k + j] -= value;
      });
  if (!cholesky(corner, count, { stride: count })) throw new Error('Border is not positive definite');
}

/** Solves for right-hand sides in place, given the factor. Entries of the border come last in each side. */
export function solveBordered({ band, rows, first, corner }: BorderedBand, sides: Float64Array[]): void {
  const { size } = band;
  const count = first.length;
  for (let k = 0; k < sides.length; k += SIDES) {
    const some = sides.slice(k, k + SIDES);
    while (some.length < SIDES) some.push(new Float64Array(size + count));
    const sidesHere = four(some, 0);
    const borders = some.map((side) => side.subarray(size));
    solveBandForward(band, sidesHere);
    for (let i = 0; i < count; i++)
      products(rows[i], sidesHere, first[i]).forEach((value, j) => {
        borders[j][i] -= value;
      });
    for (const border of borders) {
      solveLower(corner, count, count, border);
      solveLowerTransposed(corner, count, count, border);
    }
    for (let i = 0; i < count; i++)
      subtractRow(
        rows[i],
        sidesHere,
        borders.map((border) => border[i]),
        first[i],
      );
    solveBandBackward(band, sidesHere);
  }
}

const four = (rows: readonly Float64Array[], k: number): FourSides => [
  rows[k],
  rows[k + 1],
  rows[k + 2],
  rows[k + 3],
];

function products(row: Float64Array, [a, b, c, d]: FourSides, from: number): number[] {
  let [pa, pb, pc, pd] = [0, 0, 0, 0];
  for (let k = from; k < row.length; k++) {
    const value = row[k];
    pa += value * a[k];
    pb += value * b[k];
    pc += value * c[k];
    pd += value * d[k];
  }
  return [pa, pb, pc, pd];
}

function subtractRow(
  row: Float64Array,
  [a, b, c, d]: FourSides,
  [fa, fb, fc, fd]: readonly number[],
  from: number,
): void {
  for (let k = from; k < row.length; k++) {
    const value = row[k];
    a[k] -= value * fa;
    b[k] -= value * fb;
    c[k] -= value * fc;
    d[k] -= value * fd;
  }
}
