import { describe, expect, test } from 'vitest';
import type { DepthGrid } from '../../shared/contract/bottom-model.ts';
import { depthAt, sdAt } from './grid-values.ts';
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
  test('depth is bilinear, so a plane is exact everywhere inside', () => {
    near(depthAt(grid, 13.7, -41.2), 20 + 0.05 * 13.7 + 0.02 * 41.2, 1e-9);
  });

  test('depth and standard deviation are NaN outside the grid', () => {
    expect(depthAt(grid, 103, 0)).toBeNaN();
    expect(sdAt(grid, 0, -102.1)).toBeNaN();
    expect(depthAt(grid, Number.NaN, 0)).toBeNaN();
  });
});
