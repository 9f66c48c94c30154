import { describe, expect, test } from 'vitest';
import { random } from '../../fixtures/lakes/random.ts';
import { addToBand } from '../../shared/lake/band-cholesky.ts';
import { addToBorder, borderedBand, factorBordered, solveBordered } from '../../shared/lake/bordered-band.ts';
import { keyedNormal, noiseKey } from '../../shared/lake/noise.ts';
import { solveSheet } from '../../shared/lake/sheet.ts';
import { cholesky } from '../../shared/math/linear-algebra.ts';

describe('band Cholesky', () => {
  test.each([
    [7, 2, 0],
    [30, 5, 1],
    [50, 11, 6],
  ])(
    '%i unknowns, a band of %i and a border of %i have the solution of the dense factor',
    (size, band, border) => {
      const { range } = random(size);
      const matrix = borderedBand(size, band, border);
      const all = size + border;
      const dense = new Float64Array(all * all);
      for (let i = 0; i < size; i++)
        for (let j = Math.max(0, i - band); j <= i; j++) {
          const value = i === j ? 2 * band + 20 : range(-1, 1);
          addToBand(matrix.band, i, j, value);
          dense[i * all + j] = value;
        }
      for (let i = 0; i < border; i++) {
        // Row i of the border begins at column 3 i + 1.
        for (let j = 3 * i + 1; j < size; j++) {
          dense[(size + i) * all + j] = range(-1, 1);
          addToBorder(matrix, i, j, dense[(size + i) * all + j]);
        }
        for (let j = 0; j <= i; j++) {
          matrix.corner[i * border + j] = i === j ? 20 : range(-1, 1);
          dense[(size + i) * all + size + j] = matrix.corner[i * border + j];
        }
      }
      const sides = [0, 1, 2, 3, 4].map(() => Float64Array.from({ length: all }, () => range(-5, 5)));
      const expected = sides.map((side) => denseSolve(dense, all, side));
      factorBordered(matrix);
      solveBordered(matrix, sides);
      sides.forEach((side, k) => {
        for (let i = 0; i < all; i++) expect(side[i]).toBeCloseTo(expected[k][i], 10);
      });
    },
  );

  test('a matrix that is not positive definite throws', () => {
    const matrix = borderedBand(3, 1, 0);
    for (let i = 0; i < 3; i++) addToBand(matrix.band, i, i, i === 1 ? -1 : 1);
    expect(() => factorBordered(matrix)).toThrow(/not positive definite/);
  });
});

/** Data of depths that share no errors of passes. */
const noPasses = (count: number) => ({
  pass: new Int32Array(count).fill(-1),
  shared: new Float64Array(count),
  passKeys: new Int32Array(0),
});

/** Solves with the Cholesky factor of the bottom model, which has its own tests. */
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
      ...noPasses(4),
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
      ...noPasses(4),
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

  test('a pass that lies deeper than its neighbors is taken for one that reads too deep, and the draws say so too', () => {
    const places = [2, 4, 6, 8, 10].flatMap((y, pass) =>
      [1, 3, 5, 7, 9, 11, 13].map((x) => ({ x, y, pass })),
    );
    const data = {
      x: Float64Array.from(places, ({ x }) => x),
      y: Float64Array.from(places, ({ y }) => y),
      depth: Float64Array.from(places, ({ pass }) => (pass === 2 ? 8.2 : 8)),
      variance: new Float64Array(places.length).fill(0.05 ** 2),
      pass: Int32Array.from(places, ({ pass }) => pass),
      shared: new Float64Array(places.length).fill(0.1),
      passKeys: Int32Array.of(1, 2, 3, 4, 5),
    };
    const shapeOf = (given: typeof data): number[] => {
      const [mean] = solveSheet(tile, given, bending(0.0005), 0);
      return [2, 4, 6, 8, 10].map((y) => mean[y * tile.columns + 7]);
    };
    const spread = (depths: number[]): number => Math.max(...depths) - Math.min(...depths);
    // Without errors of passes, the bottom follows the deeper pass.
    const [shared, alone] = [data, { ...data, ...noPasses(places.length) }].map((given) =>
      spread(shapeOf(given)),
    );
    expect(shared).toBeLessThan(0.5 * alone);
    const [mean, ...draws] = solveSheet(tile, data, bending(0.0001), 400);
    const node = 6 * tile.columns + 7;
    const sd = Math.sqrt(draws.reduce((sum, draw) => sum + (draw[node] - mean[node]) ** 2, 0) / 400);
    // Five passes with errors of 0.1 m determine the level to 0.1 / sqrt(5) = 0.045 m.
    expect(sd).toBeGreaterThan(0.038);
    expect(sd).toBeLessThan(0.06);
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
