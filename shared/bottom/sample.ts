import type { DepthGrid } from '../contract/index.ts';

/** Depth at a place in meters from the waypoint, m, bilinear between nodes; NaN outside the grid. */
export function depthAt(grid: DepthGrid, east: number, north: number): number {
  return bilinear(grid, grid.depth, east, north);
}

/** Standard deviation of the depth there, m; NaN outside the grid. */
export function sdAt(grid: DepthGrid, east: number, north: number): number {
  return bilinear(grid, grid.sd, east, north);
}

/** True where all four nodes round a place are carried by soundings; false outside the grid. */
export function isSupportedAt(grid: DepthGrid, east: number, north: number): boolean {
  return bilinear(grid, grid.supported, east, north) > 0.999;
}

/** `[east, north]` rate of deepening at a place, m/m, from the cell it is in; NaN outside the grid. */
export function gradientOnGrid(grid: DepthGrid, east: number, north: number): [east: number, north: number] {
  const h = grid.cellSize / 2;
  return [
    (depthAt(grid, east + h, north) - depthAt(grid, east - h, north)) / grid.cellSize,
    (depthAt(grid, east, north + h) - depthAt(grid, east, north - h)) / grid.cellSize,
  ];
}

function bilinear(grid: DepthGrid, values: ArrayLike<number>, east: number, north: number): number {
  const { size, cellSize } = grid;
  const half = (size - 1) / 2;
  const x = east / cellSize + half;
  const y = north / cellSize + half;
  if (!(x >= 0 && y >= 0 && x <= size - 1 && y <= size - 1)) return Number.NaN;
  const column = Math.min(size - 2, Math.floor(x));
  const row = Math.min(size - 2, Math.floor(y));
  const u = x - column;
  const v = y - row;
  const node = row * size + column;
  const low = values[node] * (1 - u) + values[node + 1] * u;
  const high = values[node + size] * (1 - u) + values[node + size + 1] * u;
  return low * (1 - v) + high * v;
}
