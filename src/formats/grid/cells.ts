import {
  type LengthUnit,
  type Projection,
  type ReaderContext,
  type ReadSoundings,
  Refusal,
} from '../../../shared/contract/index.ts';
import { metersPerDegree } from '../../../shared/geo/index.ts';
import { readers } from '../../../shared/text/index.ts';

/** A grid of heights, with rows from north to south or in the order of the file. */
export interface Grid {
  readonly columns: number;
  readonly rows: number;
  /** Center of a cell in the coordinates of the grid. */
  readonly at: (column: number, row: number) => readonly [x: number, y: number];
  readonly depthUnit?: LengthUnit;
  /** Values of a range of rows; NaN where there is none. */
  readonly read: (fromRow: number, toRow: number) => Promise<ArrayLike<number>>;
}

/** Cells returned together as one part. */
const PART_CELLS = 1 << 19;
/** Largest cell that can be in degrees: a cell of half a kilometer says nothing about a spot. */
const COARSEST_DEGREES = 0.005;

/** True when the cells of a grid can be in degrees. */
export const isInDegrees = (corners: readonly (readonly [number, number])[], cell: number): boolean =>
  Math.abs(cell) <= COARSEST_DEGREES && corners.every(([x, y]) => Math.abs(x) <= 360 && Math.abs(y) <= 90);

/**
 * Cells with a value as the soundings of one even survey, each row a pass.
 *
 * @param toDegrees Projection of the grid; undefined for a grid in degrees.
 * @throws Refusal for a grid without any value.
 */
export async function* cellsOf(
  grid: Grid,
  toDegrees: Projection | undefined,
  file: string,
  context: ReaderContext,
): AsyncGenerator<ReadSoundings> {
  const { columns, rows } = grid;
  const rowsAtOnce = Math.max(1, Math.floor(PART_CELLS / columns));
  let taken = 0;
  for (let from = 0; from < rows; from += rowsAtOnce) {
    const to = Math.min(rows, from + rowsAtOnce);
    const values = await grid.read(from, to);
    const count = Array.from(values).filter((value) => !Number.isNaN(value)).length;
    taken += count;
    if (count > 0) yield pickCells(grid, values, count, from, to, toDegrees);
    context.progress(to / rows);
  }
  if (taken === 0) throw new Refusal([readers['nothing-inside']({ file }, 'a grid', 'values')]);
  context.report(readers['grid-cells']({ file }, taken, cellWidth(grid, toDegrees)));
}

function pickCells(
  grid: Grid,
  values: ArrayLike<number>,
  count: number,
  from: number,
  to: number,
  toDegrees: Projection | undefined,
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
      const [x, y] = grid.at(column, row);
      [lon[cell], lat[cell]] = toDegrees === undefined ? [x, y] : toDegrees(x, y);
      depth[cell] = value;
      pass[cell] = row;
      line[cell++] = row + 1;
    }
  }
  return { lat, lon, depth, pass, line, depthUnit: grid.depthUnit };
}

/** Width of a cell at the center of the grid, m. */
function cellWidth({ at, columns, rows }: Grid, toDegrees: Projection | undefined): number {
  const [column, row] = [columns >> 1, rows >> 1];
  const places = [at(column, row), at(column + 1, row)].map(([x, y]) => toDegrees?.(x, y) ?? [x, y]);
  const [perLat, perLon] = metersPerDegree(places[0][1]);
  return Math.hypot((places[1][0] - places[0][0]) * perLon, (places[1][1] - places[0][1]) * perLat);
}
