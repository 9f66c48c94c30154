import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { floodedVolcano } from '../../fixtures/lakes/terrain.ts';
import { fitQuadratic } from '../../shared/bottom/quadratic.ts';
import { horn, zevenbergenThorne } from '../accuracy/other-methods.ts';
import { reference } from '../reference.ts';
import { near } from './near.ts';

const DEGREES = 180 / Math.PI;
const bearing = (east: number, north: number) => (Math.atan2(east, north) * DEGREES + 360) % 360;

describe('Horn 1981 on published windows of elevations', () => {
  // Slope and downhill aspect, deg, from the documentation of a GIS as quoted in public code, recomputed
  // exactly.
  test.each([
    [[50, 45, 50, 30, 30, 30, 8, 10, 10], 5, 75.2576577, 180.7538483],
    [[101, 92, 85, 101, 92, 85, 101, 91, 84], 1, Number.NaN, 92.6425453],
    [[42, 45, 47, 40, 44, 49, 44, 48, 52], 10, 22.7918249, 292.7509763],
    [[3, 3, 3, 2, 2, 2, 1, 1, 1], 10, 5.71059314, 180],
  ])('slope and aspect of %j', (window, cellSize, slope, aspect) => {
    const [east, north] = horn(window, cellSize);
    if (!Number.isNaN(slope)) near(Math.atan(Math.hypot(east, north)) * DEGREES, slope, 1e-6);
    near(bearing(-east, -north), aspect, 1e-6);
  });
});

describe('the 5 x 5 elevation model of the PCRaster manual, cell 50', () => {
  const dem = [
    [70, 70, 80, Number.NaN, 120],
    [70, 70, 90, Number.NaN, Number.NaN],
    [70, 70, 100, 140, 280],
    [180, 160, 110, 160, 320],
    [510, 440, 300, 400, 480],
  ];
  const window = (row: number, column: number) =>
    [-1, 0, 1].flatMap((r) => [-1, 0, 1].map((c) => dem[row + r][column + c]));

  // Reference output distributed with PCRaster: slope (rise over run) and aspect by Horn, curvature rounded
  // to 0.01.
  test.each([
    [1, 1, 0.206155, 284.0362, -0.01, 0],
    [2, 1, 0.775403, 358.1524, -0.03, 0.02],
    [3, 1, 3.541539, 13.0552, -0.08, -0.02],
    [3, 2, 2.576092, 358.3317, -0.07, 0.04],
    [3, 3, 3.015377, 319.7079, -0.07, 0.06],
  ])('row %i, column %i', (row, column, slope, aspect, profile, plan) => {
    const [east, north] = horn(window(row, column), 50);
    near(Math.hypot(east, north), slope, 1e-5);
    near(bearing(-east, -north), aspect, 1e-3);
    const zt = zevenbergenThorne(window(row, column), 50);
    near(zt.profile, profile, 0.0051);
    near(zt.plan, plan, 0.0051);
  });

  test('slope, aspect and unrounded curvature by Zevenbergen and Thorne', () => {
    const zt = zevenbergenThorne(window(3, 1), 50);
    near(Math.hypot(zt.east, zt.north), 3.765634, 1e-6);
    near(bearing(-zt.east, -zt.north), 10.7131, 1e-4);
    near(zt.profile, -0.0817264, 1e-7);
    near(zt.plan, -0.0177264, 1e-7);
  });

  test('slope of the least-squares quadratic', () => {
    // Six-term least squares on the window of row 2, column 1: 36.36635 degrees.
    const places = [-50, 0, 50];
    const east = places.flatMap(() => places);
    const north = [50, 50, 50, 0, 0, 0, -50, -50, -50];
    const { coefficients } = fitQuadratic(east, north, window(2, 1), new Array(9).fill(1), 50, 0)!;
    near(Math.atan(Math.hypot(coefficients[1], coefficients[2])) * DEGREES, 36.36635, 1e-5);
  });
});

describe('Wood 1996 quadratics on a real elevation model', () => {
  // R's volcano in windows of 5 rows x 7 columns, 10 m apart. The results are numbers from the test data of
  // MultiscaleDTM.
  const volcano = floodedVolcano();
  // Undoes the flooding. The rows of R's matrix are the columns of the grid in npm's vega-datasets.
  const heightAt = (row: number, column: number) =>
    200 - 4 * volcano.depth(10 * (row - 1), 10 * (column - 1));

  const quadraticAt = (row: number, column: number) => {
    const east: number[] = [];
    const north: number[] = [];
    const height: number[] = [];
    for (let r = -2; r <= 2; r++) {
      for (let c = -3; c <= 3; c++) {
        east.push(10 * c);
        north.push(-10 * r);
        height.push(heightAt(row + r, column + c));
      }
    }
    const [z, gx, gy] = fitQuadratic(east, north, height, new Array(35).fill(1), 20, 0)!.coefficients;
    return [z, Math.atan(Math.hypot(gx, gy)) * DEGREES, bearing(-gx, -gy)];
  };

  test('row 17, column 49', () => {
    const [z, slope, aspect] = quadraticAt(17, 49);
    near(z, 145.081632653061, 1e-9);
    near(slope, 28.6303667, 1e-6);
    near(aspect, 48.3415576, 1e-6);
  });

  const file = reference('wood-quadratic-volcano.csv');
  test.skipIf(!existsSync(file))(
    'all 94 fits (the license of the data file, the GPL, keeps it out of the repository)',
    () => {
      const rows = readFileSync(file, 'utf8')
        .trim()
        .split('\n')
        .slice(1)
        .map((line) => line.split(',').map(Number));
      expect(rows).toHaveLength(94);
      for (const [row, column, , elevation, slope, aspect] of rows) {
        const found = quadraticAt(row, column);
        near(found[0], elevation, 1e-8);
        near(found[1], slope, 1e-8);
        near(found[2], aspect, 1e-6);
      }
    },
  );
});
