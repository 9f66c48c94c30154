import type { BottomModel } from '../../shared/contract/bottom-model.ts';

/**
 * Makes the bottom model of a known surface, as if sounded everywhere.
 *
 * @param options `half`: cells from the mark to the edge; `cellSize` and `sd` (of the depth everywhere) in m.
 */
export function bottomOf(
  depth: (east: number, north: number) => number,
  { half = 32, cellSize = 2.5, sd = 0.1, lat = 45, lon = -93 } = {},
): BottomModel {
  const size = 2 * half + 1;
  const grid = {
    size,
    cellSize,
    depth: new Float64Array(size * size),
    sd: new Float64Array(size * size).fill(sd),
    supported: new Uint8Array(size * size).fill(1),
    range: 25,
  };
  for (let row = 0; row < size; row++)
    for (let column = 0; column < size; column++)
      grid.depth[row * size + column] = depth((column - half) * cellSize, (row - half) * cellSize);
  return {
    status: 'ok',
    lat,
    lon,
    passSpacing: 25,
    soundings: 500,
    depth: depth(0, 0),
    depthSd: sd,
    gradient: [(depth(2, 0) - depth(-2, 0)) / 4, (depth(0, 2) - depth(0, -2)) / 4],
    grid,
    support: new Float64Array(16).fill(1),
  };
}
