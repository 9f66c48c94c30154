import { atPlace, type LakeGrid } from '../../../shared/lake/lake-grid.ts';
import { placeOf } from '../../../shared/lake/lake-lines.ts';

const NO_DATA = -9999;

/**
 * A column of the lake grid as an ESRI ASCII grid in degrees, rows from the north; -9999 where nothing was sounded.
 *
 * @param values By node, m. @param decimals Of the values.
 *
 * Cells are square in degrees of latitude, as the format asks, and as high as the lake grid's; values are interpolated from its
 * nodes, which lie along the passes.
 */
export function formatAsciiGrid(grid: LakeGrid, values: ArrayLike<number>, decimals: number): string {
  const corners = [
    [0, 0],
    [grid.columns - 1, 0],
    [0, grid.rows - 1],
    [grid.columns - 1, grid.rows - 1],
  ].map(([x, y]) => placeOf(grid, x, y));
  const lats = corners.map(([lat]) => lat);
  const lons = corners.map(([, lon]) => lon);
  const [south, west] = [Math.min(...lats), Math.min(...lons)];
  const cell = grid.cell / metersPerDegree(grid);
  const rows = Math.ceil((Math.max(...lats) - south) / cell) + 1;
  const columns = Math.ceil((Math.max(...lons) - west) / cell) + 1;
  const lines = [
    `ncols ${columns}`,
    `nrows ${rows}`,
    `xllcenter ${west.toFixed(9)}`,
    `yllcenter ${south.toFixed(9)}`,
    `cellsize ${cell.toFixed(12)}`,
    `NODATA_value ${NO_DATA}`,
  ];
  for (let row = rows - 1; row >= 0; row--) {
    const line: string[] = [];
    for (let column = 0; column < columns; column++) {
      const value = atPlace(grid, values, south + row * cell, west + column * cell);
      line.push(Number.isNaN(value) ? String(NO_DATA) : value.toFixed(decimals));
    }
    lines.push(line.join(' '));
  }
  return `${lines.join('\n')}\n`;
}

/** m in a degree of latitude about the grid's origin. */
function metersPerDegree({ frame }: LakeGrid): number {
  const step = 0.001;
  const [, north] = frame.toLocal(frame.lat + step, frame.lon);
  return north / step;
}
