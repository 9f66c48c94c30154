import type { DepthGrid } from '../../shared/contract/index.ts';
import { bilinear } from '../../shared/math/index.ts';

/** Returns the depth at a place in m from the waypoint, interpolated bilinearly, m; NaN outside the grid. */
export function depthAt(grid: DepthGrid, east: number, north: number): number {
  return valueAt(grid, grid.depth, east, north);
}

/** Returns the standard deviation of what `depthAt` returns, m; NaN outside the grid. */
export function sdAt(grid: DepthGrid, east: number, north: number): number {
  return valueAt(grid, grid.sd, east, north);
}

function valueAt(
  { size, cellSize }: DepthGrid,
  values: ArrayLike<number>,
  east: number,
  north: number,
): number {
  const half = (size - 1) / 2;
  return bilinear({ columns: size, rows: size }, values, east / cellSize + half, north / cellSize + half);
}
