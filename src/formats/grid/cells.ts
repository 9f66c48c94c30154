import {
  type LengthUnit,
  type ReaderContext,
  type ReadSoundings,
  Refusal,
} from '../../../shared/contract/index.ts';
import { metersPerDegree } from '../../../shared/geo/index.ts';
import { readerMessages } from '../../../shared/text/index.ts';
import { degreesFrom, fitDegrees } from '../open/index.ts';

/** A grid of heights or depths, with rows in the order of the file. */
export interface Grid {
  readonly columns: number;
  readonly rows: number;
  /** Returns the center of a cell in the coordinates of the grid. */
  readonly at: (column: number, row: number) => readonly [x: number, y: number];
  readonly depthUnit?: LengthUnit;
  /** Returns the values of rows `fromRow` to `toRow - 1`; NaN for a cell without a value. */
  readonly read: (fromRow: number, toRow: number) => Promise<ArrayLike<number>>;
}

/** Maximum number of cells in a part, unless a single row has more; judgment. */
const PART_CELLS = 1 << 19;
/** Maximum cell width for coordinates to be taken as degrees, deg; chosen, about 0.5 km of latitude. */
const COARSEST_DEGREES = 0.005;

/**
 * Returns a generator of the soundings of a grid in parts: one sounding for each cell with a value. Each row
 * of the grid is a pass.
 *
 * @param cell Width of a cell in the coordinates of the grid; 0 if unknown.
 * @param said Coordinate system that the file states, if any.
 * @throws Refusal for a coordinate system that cannot be used, and from the generator for a grid without any
 * value.
 */
export async function cellsOf(
  grid: Grid,
  cell: number,
  said: string | undefined,
  file: string,
  context: ReaderContext,
): Promise<AsyncGenerator<ReadSoundings>> {
  const corners = [grid.at(0, 0), grid.at(grid.columns - 1, grid.rows - 1)];
  const isFit = Math.abs(cell) <= COARSEST_DEGREES && fitDegrees(corners);
  const toDegrees = await degreesFrom(said, isFit, context);
  return partsOf({ ...grid, at: (column, row) => toDegrees(...grid.at(column, row)) }, file, context);
}

/** @param grid Grid with coordinates in degrees. */
async function* partsOf(grid: Grid, file: string, context: ReaderContext): AsyncGenerator<ReadSoundings> {
  const { columns, rows } = grid;
  const rowsAtOnce = Math.max(1, Math.floor(PART_CELLS / columns));
  let taken = 0;
  for (let from = 0; from < rows; from += rowsAtOnce) {
    const to = Math.min(rows, from + rowsAtOnce);
    const values = await grid.read(from, to);
    const count = Array.from(values).filter((value) => !Number.isNaN(value)).length;
    taken += count;
    if (count > 0) yield pickCells(grid, values, count, from, to);
    context.progress(to / rows);
  }
  if (taken === 0) throw new Refusal([readerMessages['nothing-inside']({ file }, 'a grid', 'values')]);
  context.report(readerMessages['grid-cells']({ file }, taken, cellWidth(grid)));
}

function pickCells(
  grid: Grid,
  values: ArrayLike<number>,
  count: number,
  from: number,
  to: number,
): ReadSoundings {
  const lat = new Float64Array(count);
  const lon = new Float64Array(count);
  const depth = new Float64Array(count);
  const pass = new Int32Array(count);
  const line = new Uint32Array(count);
  let cell = 0;
  for (let row = from; row < to; row++) {
    for (let column = 0; column < grid.columns; column++) {
      const value = values[(row - from) * grid.columns + column];
      if (Number.isNaN(value)) continue;
      [lon[cell], lat[cell]] = grid.at(column, row);
      depth[cell] = value;
      pass[cell] = row;
      line[cell++] = row + 1;
    }
  }
  return { lat, lon, depth, pass, line, record: 'grid row', depthUnit: grid.depthUnit };
}

/** Returns the width of a cell at the center of the grid, m. */
function cellWidth({ at, columns, rows }: Grid): number {
  const [column, row] = [columns >> 1, rows >> 1];
  const [[lon, lat], next] = [at(column, row), at(column + 1, row)];
  const [perLat, perLon] = metersPerDegree(lat);
  return Math.hypot((next[0] - lon) * perLon, (next[1] - lat) * perLat);
}
