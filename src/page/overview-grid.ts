import type { LocalFrame } from '../../shared/geo/index.ts';
import type { SurveyColumns } from './near-soundings.ts';

/** Depths of a whole lake on a coarse grid, for the overview only; rows go from north to south. */
export interface OverviewGrid {
  readonly columns: number;
  readonly rows: number;
  /** m. */
  readonly cellSize: number;
  /** m east and north of the frame's origin, of the node in the north-west corner. */
  readonly west: number;
  readonly north: number;
  /** m; NaN where nobody sounded. */
  readonly depth: Float64Array;
  /** 1 where soundings stand close by. */
  readonly sounded: Float64Array;
}

/** Ground of the overview, m about the frame's origin. */
export interface OverviewExtent {
  readonly west: number;
  readonly east: number;
  readonly south: number;
  readonly north: number;
}

/** Cells across the longer side, and the least cell, m: finer would be finer than passes are apart. */
const MOST_CELLS = 220;
const LEAST_CELL = 8;

/** Reach of a sounding, cells, and the spread of its weight. */
const REACH = 3;
const SPREAD = 1.1;

/**
 * Smooth depths of a lake: at each node the mean of the soundings within three cells, near ones counting more.
 *
 * A mean of that kind is smooth where passes are dense, ends where they end, and needs no fit; it flattens slopes that
 * are shorter than a cell or two, so it serves the overview and nothing else. Soundings are first gathered by cell.
 */
export function overviewGrid(survey: SurveyColumns, frame: LocalFrame, extent: OverviewExtent): OverviewGrid {
  const size = Math.max(extent.east - extent.west, extent.north - extent.south);
  const cellSize = Math.max(LEAST_CELL, size / MOST_CELLS);
  const columns = Math.ceil((extent.east - extent.west) / cellSize) + 1;
  const rows = Math.ceil((extent.north - extent.south) / cellSize) + 1;
  const count = new Float64Array(columns * rows);
  const sum = new Float64Array(columns * rows);
  for (let i = 0; i < survey.count; i += 1) {
    const [east, north] = frame.toLocal(survey.lat[i], survey.lon[i]);
    const column = Math.round((east - extent.west) / cellSize);
    const row = Math.round((extent.north - north) / cellSize);
    if (!(column >= 0 && row >= 0 && column < columns && row < rows)) continue;
    count[row * columns + column] += 1;
    sum[row * columns + column] += survey.depth[i];
  }
  const depth = new Float64Array(columns * rows).fill(Number.NaN);
  const sounded = new Float64Array(columns * rows);
  spread(count, sum, columns, rows, depth, sounded);
  return {
    columns,
    rows,
    cellSize,
    west: extent.west,
    north: extent.north,
    depth,
    sounded,
  };
}

/** Cells with soundings give their mean to the nodes round them; a cell counts once, however often it was passed. */
function spread(
  count: Float64Array,
  sum: Float64Array,
  columns: number,
  rows: number,
  depth: Float64Array,
  sounded: Float64Array,
): void {
  const weight = new Float64Array(count.length);
  const total = new Float64Array(count.length);
  for (let k = 0; k < count.length; k += 1) {
    if (count[k] === 0) continue;
    const [column, row] = [k % columns, Math.floor(k / columns)];
    const mean = sum[k] / count[k];
    for (let y = Math.max(0, row - REACH); y <= Math.min(rows - 1, row + REACH); y += 1) {
      for (let x = Math.max(0, column - REACH); x <= Math.min(columns - 1, column + REACH); x += 1) {
        const away2 = (x - column) ** 2 + (y - row) ** 2;
        if (away2 > REACH * REACH) continue;
        const share = Math.exp(-away2 / (2 * SPREAD * SPREAD));
        weight[y * columns + x] += share;
        total[y * columns + x] += share * mean;
        if (away2 <= 4) sounded[y * columns + x] = 1;
      }
    }
  }
  for (let k = 0; k < weight.length; k += 1) if (weight[k] > 0) depth[k] = total[k] / weight[k];
}
