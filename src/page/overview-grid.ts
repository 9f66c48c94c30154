import { range } from 'd3-array';
import type { Box, LocalFrame } from '../../shared/geo/index.ts';
import type { SurveyColumns } from './figure-context.ts';

/** Maximum number of cells along the longer side of the grid. */
const MAX_CELLS = 220;
/** Minimum cell size, m; smaller cells would be finer than the usual spacing of passes. */
const MIN_CELL = 8;

/** Maximum distance between a node and a cell whose soundings count at the node, cells. */
const REACH = 3;
/** Standard deviation of the Gaussian function that weights cells by distance, cells. */
const SPREAD = 1.1;

/**
 * Smooths the depths of a lake. Soundings are first averaged by cell, so that the number of soundings in a
 * cell does not matter. Each node then gets the distance-weighted mean of the cells within `REACH`. The mean
 * flattens slopes shorter than a cell or two, so the grid is suitable only for an overview.
 *
 * @param extent Area of the grid, m from the frame's origin.
 * @returns By node, row by row from the north: `depth`, m, NaN where not known, and `sounded`, 1 or 0; and
 * `toLocal`, which gives the place of a node, m from the frame's origin.
 */
export function overviewGrid(survey: SurveyColumns, frame: LocalFrame, extent: Box) {
  const size = Math.max(extent.east - extent.west, extent.north - extent.south);
  const cellSize = Math.max(MIN_CELL, size / MAX_CELLS);
  const columns = Math.ceil((extent.east - extent.west) / cellSize) + 1;
  const rows = Math.ceil((extent.north - extent.south) / cellSize) + 1;
  const [count, sum, sounded, weight, total] = range(5).map(() => new Float64Array(columns * rows));
  for (let i = 0; i < survey.count; i += 1) {
    const [east, north] = frame.toLocal(survey.lat[i], survey.lon[i]);
    const column = Math.round((east - extent.west) / cellSize);
    const row = Math.round((extent.north - north) / cellSize);
    if (!(column >= 0 && row >= 0 && column < columns && row < rows)) continue;
    count[row * columns + column] += 1;
    sum[row * columns + column] += survey.depth[i];
  }
  for (let k = 0; k < count.length; k += 1) {
    if (count[k] === 0) continue;
    const [column, row] = [k % columns, Math.floor(k / columns)];
    for (let y = Math.max(0, row - REACH); y <= Math.min(rows - 1, row + REACH); y += 1) {
      for (let x = Math.max(0, column - REACH); x <= Math.min(columns - 1, column + REACH); x += 1) {
        const away2 = (x - column) ** 2 + (y - row) ** 2;
        if (away2 > REACH * REACH) continue;
        const share = Math.exp(-away2 / (2 * SPREAD * SPREAD));
        weight[y * columns + x] += share;
        total[y * columns + x] += share * (sum[k] / count[k]);
        // A node within 2 cells of a cell with soundings counts as sounded.
        if (away2 <= 4) sounded[y * columns + x] = 1;
      }
    }
  }
  return {
    columns,
    rows,
    sounded,
    depth: total.map((sum, k) => sum / weight[k]),
    toLocal: (column: number, row: number): [east: number, north: number] => [
      extent.west + column * cellSize,
      extent.north - row * cellSize,
    ],
  };
}
