import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { chooseIsobaths, cropGrid, type FigureGrid, traceIsobath } from '../../src/page/isobaths.ts';
import { isInside, type Place, readPath } from './read-figure.ts';

const grid = (columns: number, rows: number, depth: (column: number, row: number) => number): FigureGrid => ({
  columns,
  rows,
  values: Float64Array.from({ length: columns * rows }, (_, k) =>
    depth(k % columns, Math.floor(k / columns)),
  ),
  toFigure: (column, row) => [column * 10, row * 10],
});

describe('isobaths', () => {
  test('a plane has one straight isobath at its depth', () => {
    const { lines, linePath } = traceIsobath(
      grid(20, 20, (column) => column),
      7.25,
    );
    expect(lines).toHaveLength(1);
    for (const place of readPath(linePath).flat()) expect(place[0]).toBeCloseTo(72.5, 6);
  });

  test('the isobath of a cone is a circle', () => {
    const { lines } = traceIsobath(
      grid(41, 41, (column, row) => Math.hypot(column - 20, row - 20)),
      12.5,
    );
    expect(lines).toHaveLength(1);
    // Linear interpolation between the nodes of a cone is off by at most h^2 / 8 r = 0.01 cells.
    for (const [x, y] of lines[0]) expect(Math.hypot(x - 200, y - 200)).toBeCloseTo(125, 0);
  });

  test('the area contains exactly the nodes at least as deep, on any ground, to the edge of the grid', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 10, noNaN: true }), { minLength: 49, maxLength: 49 }),
        (depths) => {
          const values = Float64Array.from(depths, (depth) =>
            Math.abs(depth - 5) < 0.7 ? depth + 1.4 : depth,
          );
          const small: FigureGrid = {
            ...grid(7, 7, () => 0),
            values,
            toFigure: (column, row) => [column * 50, row * 50],
          };
          const rings = readPath(traceIsobath(small, 5).path);
          for (let k = 0; k < 49; k += 1) {
            const place: Place = [(k % 7) * 50 + 0.01, Math.floor(k / 7) * 50 + 0.013];
            expect(isInside(place, rings)).toBe(values[k] >= 5);
          }
        },
      ),
    );
  });

  test('inside the part shown, a cropped grid has the isobath of the whole grid', () => {
    const whole = grid(40, 40, (column, row) => Math.hypot(column - 18, row - 22));
    const part = cropGrid(whole, ([x, y]) => x > 100 && x < 260 && y > 150 && y < 300);
    expect(part.columns * part.rows).toBeLessThan(700);
    const shown = (places: readonly Place[]) =>
      places
        .filter(([x, y]) => x > 100 && x < 260 && y > 150 && y < 300)
        .map((place) => place.map((v) => v.toFixed(6)).join())
        .sort();
    expect(shown(traceIsobath(part, 9.5).lines.flat())).toEqual(shown(traceIsobath(whole, 9.5).lines.flat()));
  });

  test('intervals are customary ones, small only on nearly level ground, and give at most 21 lines', () => {
    expect(chooseIsobaths(3, 4.2, 'ft', 6).interval).toBe(1);
    expect(chooseIsobaths(3, 9, 'ft', 6).interval).toBe(2);
    expect(chooseIsobaths(3, 12, 'ft', 6).interval).toBe(5);
    expect(chooseIsobaths(3, 4.2, 'm', 6).interval).toBe(0.25);
    expect(chooseIsobaths(3, 12, 'm', 6).interval).toBe(1);
    expect(chooseIsobaths(0, 6, 'm', 6).depths[0]).toBeGreaterThan(0);
    for (const deepest of [1, 5, 20, 80, 300]) {
      for (const units of ['ft', 'm'] as const) {
        const { depths, tints } = chooseIsobaths(0.5, deepest, units, 6);
        const index = tints.filter((tint) => tint !== undefined);
        expect(index).toEqual(index.map((_, i) => i + 1));
        expect(index.length).toBeLessThanOrEqual(5);
        expect(depths.length).toBeLessThanOrEqual(21);
        for (const depth of depths) expect(depth).toBeLessThanOrEqual(deepest);
      }
    }
  });
});
