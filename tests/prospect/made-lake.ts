import { localFrame } from '../../shared/geo/local-frame.ts';
import { findLakeAreas } from '../../shared/lake/lake-areas.ts';
import { formsOfLake } from '../../shared/lake/lake-forms.ts';
import type { LakeGrid } from '../../shared/lake/lake-grid.ts';
import { findLakeLines, placeOf } from '../../shared/lake/lake-lines.ts';
import type { LakeModel } from '../../shared/lake/lake-model.ts';

/** Makes a lake model with the true depths of a bottom, a square with sides of `size` m. */
export function madeLake(depthAt: (east: number, north: number) => number, size: number): LakeModel {
  const cell = 5;
  const columns = size / cell + 1;
  const depth = Float32Array.from({ length: columns * columns }, (_, k) =>
    depthAt((k % columns) * cell, Math.floor(k / columns) * cell),
  );
  const grid: LakeGrid = {
    columns,
    rows: columns,
    cell,
    frame: localFrame(37, -86),
    axis: 0,
    x0: 0,
    y0: 0,
    depth,
    sd: depth.map(() => 0.1),
    draws: [depth, depth],
    distance: depth.map(() => 0),
  };
  const forms = formsOfLake(grid);
  return { grid, lines: findLakeLines(grid, forms), areas: findLakeAreas(grid, forms) };
}

/** Returns `[lat, lon]` of a place in m from the southwest corner. */
export const at = (grid: LakeGrid, east: number, north: number): [number, number] =>
  placeOf(grid, east / grid.cell, north / grid.cell);
