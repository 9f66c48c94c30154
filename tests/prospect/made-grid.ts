import { localFrame } from '../../shared/geo/local-frame.ts';
import type { LakeGrid } from '../../shared/lake/lake-grid.ts';
import { placeOf } from '../../shared/lake/lake-lines.ts';

/** A lake grid of a bottom that is known without error, `size` m a side. */
export function madeGrid(depthAt: (east: number, north: number) => number, size: number): LakeGrid {
  const cell = 5;
  const columns = size / cell + 1;
  const depth = Float32Array.from({ length: columns * columns }, (_, k) =>
    depthAt((k % columns) * cell, Math.floor(k / columns) * cell),
  );
  return {
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
}

/** `[lat, lon]` of a place in m from the south-west corner. */
export const at = (grid: LakeGrid, east: number, north: number): [number, number] =>
  placeOf(grid, east / grid.cell, north / grid.cell);
