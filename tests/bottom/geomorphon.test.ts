import { expect, test } from 'vitest';
import { geomorphonAt } from '../accuracy/geomorphon.ts';

/** Elevation in GRASS GIS's regression test for r.geomorphon: a hill and a pit on a 40 x 40 grid. */
function hillAndPit(row: number, column: number): number | undefined {
  if (row < 0 || column < 0 || row > 39 || column > 39) return undefined;
  const x = column + 0.5;
  const y = 39.5 - row;
  const bump = (at: number) => 15 * Math.exp(-((x - at) ** 2 + (y - at) ** 2) / 8);
  return 200 + bump(13) - bump(27);
}

test('geomorphons of the GRASS reference elevation model have its published counts', () => {
  const counts = new Array(11).fill(0);
  for (let row = 1; row < 39; row++) {
    for (let column = 1; column < 39; column++) counts[geomorphonAt(hillAndPit, row, column, 1, 5, 1)]++;
  }
  // Source: GRASS tests/conftest.py and r_geomorphon_test.py: n 1444, sum of codes 3384.
  expect(counts.slice(1)).toEqual([1056, 4, 8, 30, 72, 160, 72, 30, 8, 4]);
  expect(counts.reduce((sum, n, code) => sum + n * code, 0)).toBe(3384);
});
