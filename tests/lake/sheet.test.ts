import { describe, expect, test } from 'vitest';
import { random } from '../../fixtures/lakes/random.ts';
import { addToBand, bandMatrix, factorBand, solveBand } from '../../shared/lake/band-cholesky.ts';
import { keyedNormal, noiseKey } from '../../shared/lake/noise.ts';
import { solveSheet } from '../../shared/lake/sheet.ts';
import { cholesky } from '../../shared/math/linear-algebra.ts';

describe('band Cholesky', () => {
  test.each([
    [7, 2],
    [30, 5],
    [50, 11],
  ])('a system of %i unknowns and band %i has the same solution as with the dense factor', (size, band) => {
    const { range } = random(size);
    const matrix = bandMatrix(size, band);
    const dense = new Float64Array(size * size);
    for (let i = 0; i < size; i++)
      for (let j = Math.max(0, i - band); j <= i; j++) {
        const value = i === j ? 2 * band + 2 : range(-1, 1);
        addToBand(matrix, i, j, value);
        dense[i * size + j] = value;
      }
    const sides = [0, 1, 2, 3].map(() => Float64Array.from({ length: size }, () => range(-5, 5)));
    const expected = sides.map((side) => denseSolve(dense, size, side));
    factorBand(matrix);
    solveBand(matrix, sides as [Float64Array, Float64Array, Float64Array, Float64Array]);
    sides.forEach((side, k) => {
      for (let i = 0; i < size; i++) expect(side[i]).toBeCloseTo(expected[k][i], 10);
    });
  });

  test('a matrix that is not positive definite is a programming error', () => {
    const matrix = bandMatrix(3, 1);
    for (let i = 0; i < 3; i++) addToBand(matrix, i, i, i === 1 ? -1 : 1);
    expect(() => factorBand(matrix)).toThrow(/not positive definite/);
  });
});

/** Solves with the routines of the bottom model, which are tested against separate references. */
function denseSolve(symmetric: Float64Array, size: number, side: Float64Array): Float64Array {
  const factor = Float64Array.from(symmetric);
  expect(cholesky(factor, size, { stride: size })).toBe(true);
  const x = Float64Array.from(side);
  for (let i = 0; i < size; i++) {
    for (let k = 0; k < i; k++) x[i] -= factor[i * size + k] * x[k];
    x[i] /= factor[i * size + i];
  }
  for (let i = size - 1; i >= 0; i--) {
    for (let k = i + 1; k < size; k++) x[i] -= factor[k * size + i] * x[k];
    x[i] /= factor[i * size + i];
  }
  return x;
}

describe('the bending sheet', () => {
  const tile = { x0: 0, y0: 0, columns: 16, rows: 12, cell: 5 };
  const size = tile.columns * tile.rows;
  const even = (bending: number): Float64Array => new Float64Array(size).fill(bending ** 2);
  const bending = (sd: number) => ({
    uu: even(sd),
    vv: even(sd),
    uv: even(sd),
    direction: new Float64Array(size).fill(0.7),
  });

  test('a plane through four depths is reproduced, even where nothing was sounded', () => {
    const plane = (x: number, y: number): number => 8 + 0.1 * x - 0.06 * y;
    const corners = [
      [1.2, 1.4],
      [13.1, 2.2],
      [12.5, 9.7],
      [2.4, 10.1],
    ];
    const data = {
      x: Float64Array.from(corners, ([x]) => x),
      y: Float64Array.from(corners, ([, y]) => y),
      depth: Float64Array.from(corners, ([x, y]) => plane(x, y)),
      variance: Float64Array.from(corners, () => 1e-4),
    };
    const [mean] = solveSheet(tile, data, bending(0.005), 0);
    for (let k = 0; k < size; k++)
      expect(mean[k]).toBeCloseTo(plane(k % tile.columns, Math.floor(k / tile.columns)), 2);
  });

  test('the draws have the mean and spread of the posterior and, at a sounding, those of the sounding', () => {
    const data = {
      x: Float64Array.of(4, 12, 8, 6),
      y: Float64Array.of(3, 4, 9, 6),
      depth: Float64Array.of(5, 6, 7, 5.5),
      variance: Float64Array.of(0.04, 0.04, 0.04, 1e-6),
    };
    const [mean, ...draws] = solveSheet(tile, data, bending(0.05), 800);
    const node = 6 * tile.columns + 6;
    const at = draws.map((draw) => draw[node]);
    const average = at.reduce((sum, value) => sum + value, 0) / at.length;
    expect(average).toBeCloseTo(mean[node], 2);
    // A sounding with a standard deviation of 1 mm pins the sheet to it.
    expect(Math.abs(mean[node] - 5.5)).toBeLessThan(0.001);
    expect(Math.max(...at) - Math.min(...at)).toBeLessThan(0.01);
    const loose = draws.map((draw) => draw[3 * tile.columns + 4]);
    const sd = Math.sqrt(loose.reduce((sum, value) => sum + (value - 5) ** 2, 0) / loose.length);
    expect(sd).toBeGreaterThan(0.15);
    expect(sd).toBeLessThan(0.21);
  });

  test('noise by key is standard normal and reproducible', () => {
    const values = Array.from({ length: 20_000 }, (_, k) =>
      keyedNormal(noiseKey(k % 141, Math.floor(k / 141), 1), 3),
    );
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    const variance = values.reduce((sum, value) => sum + value * value, 0) / values.length;
    expect(Math.abs(mean)).toBeLessThan(0.025);
    expect(variance).toBeGreaterThan(0.97);
    expect(variance).toBeLessThan(1.03);
    expect(values.filter((value) => Math.abs(value) > 1.96).length / values.length).toBeCloseTo(0.05, 2);
    expect(keyedNormal(noiseKey(5, 6, 1), 7)).toBe(keyedNormal(noiseKey(5, 6, 1), 7));
  });
});
