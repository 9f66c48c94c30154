import { describe, expect, test } from 'vitest';
import { drawDepthGrid } from '../../shared/bottom/draw.ts';
import { depthAt, gradientOnGrid, isSupportedAt, sdAt } from '../../shared/bottom/sample.ts';
import type { DepthGrid } from '../../shared/contract/bottom-model.ts';
import { near } from './near.ts';

const size = 35;
const grid: DepthGrid = {
  size,
  cellSize: 6,
  depth: Float64Array.from(
    { length: size * size },
    (_, i) => 20 + 0.05 * ((i % size) - 17) * 6 - 0.02 * (Math.floor(i / size) - 17) * 6,
  ),
  sd: new Float64Array(size * size).fill(0.3),
  supported: new Uint8Array(size * size).fill(1).fill(0, 0, size),
  range: 20,
};

describe('sampling', () => {
  test('depth is bilinear, so a plane is exact anywhere inside', () => {
    near(depthAt(grid, 13.7, -41.2), 20 + 0.05 * 13.7 + 0.02 * 41.2, 1e-9);
    const [east, north] = gradientOnGrid(grid, -20, 31);
    near(east, 0.05, 1e-9);
    near(north, -0.02, 1e-9);
  });

  test('outside the grid there is no depth and no support', () => {
    expect(depthAt(grid, 103, 0)).toBeNaN();
    expect(sdAt(grid, 0, -102.1)).toBeNaN();
    expect(isSupportedAt(grid, 0, 103)).toBe(false);
    expect(depthAt(grid, Number.NaN, 0)).toBeNaN();
  });

  test('a place is supported only when all four nodes are', () => {
    expect(isSupportedAt(grid, 0, -90)).toBe(true);
    expect(isSupportedAt(grid, 0, -97)).toBe(false);
  });
});

describe('draws', () => {
  const draws = Array.from({ length: 400 }, (_, seed) => drawDepthGrid(grid, seed));
  const errors = (east: number, north: number) =>
    draws.map((draw) => depthAt(draw, east, north) - depthAt(grid, east, north));
  const covariance = (a: number[], b: number[]) => a.reduce((sum, v, i) => sum + v * b[i], 0) / a.length;

  test('spread about the mean by the standard deviation', () => {
    const here = errors(6, 12);
    near(here.reduce((a, b) => a + b) / here.length, 0, 0.05);
    near(Math.sqrt(covariance(here, here)), 0.3, 0.04);
  });

  test('neighbors move together, places far apart do not', () => {
    const correlation = (distance: number) =>
      covariance(errors(0, 0), errors(distance, 0)) / covariance(errors(0, 0), errors(0, 0));
    // exp(-d^2 / (2 range^2)), range 20 m.
    near(correlation(12), Math.exp(-0.18), 0.12);
    near(correlation(90), 0, 0.15);
  });

  test('the same seed gives the same surface', () => {
    expect(drawDepthGrid(grid, 7).depth).toEqual(draws[7].depth);
    expect(drawDepthGrid(grid, 8).depth).not.toEqual(draws[7].depth);
  });

  test('no draw rises out of the water', () => {
    const shallow = { ...grid, depth: grid.depth.map(() => 0.1) };
    for (let seed = 0; seed < 20; seed++) {
      expect(Math.min(...drawDepthGrid(shallow, seed).depth)).toBeGreaterThanOrEqual(0);
    }
  });
});
