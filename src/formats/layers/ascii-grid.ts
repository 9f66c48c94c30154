import { extent } from 'd3-array';
import type { DisplayUnits } from '../../../shared/contract/index.ts';
import { atPlace, type GroundLattice, placeOf } from '../../../shared/lake/index.ts';

const NO_DATA = -9999;

/** Values of the lake grid on cells that are square in degrees, in rows from north to south. */
export interface DegreeGrid {
  readonly columns: number;
  readonly rows: number;
  /** Longitude of the centers of the westernmost cells, deg. */
  readonly west: number;
  /** Latitude of the centers of the southernmost cells, deg. */
  readonly south: number;
  /** Side of a cell, deg. */
  readonly cell: number;
  /** Value of each cell; -9999 where the lake grid has none. */
  readonly values: Float32Array;
}

/**
 * Converts values of the lake grid to a grid in degrees.
 *
 * Cells are square in degrees and as high as the lake grid's cells. Values are interpolated between nodes.
 *
 * @param values One value per node.
 */
export function inDegrees(grid: GroundLattice, values: ArrayLike<number>): DegreeGrid {
  const corners = [
    [0, 0],
    [grid.columns - 1, 0],
    [0, grid.rows - 1],
    [grid.columns - 1, grid.rows - 1],
  ].map(([x, y]) => placeOf(grid, x, y));
  const [south, north] = extent(corners, ([lat]) => lat) as [number, number];
  const [west, east] = extent(corners, ([, lon]) => lon) as [number, number];
  const cell = grid.cell / metersPerDegree(grid);
  const rows = Math.ceil((north - south) / cell) + 1;
  const columns = Math.ceil((east - west) / cell) + 1;
  const found = new Float32Array(columns * rows);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const value = atPlace(grid, values, south + (rows - 1 - row) * cell, west + column * cell);
      found[row * columns + column] = Number.isNaN(value) ? NO_DATA : value;
    }
  }
  return { columns, rows, west, south, cell, values: found };
}

/** Formats a grid as ESRI ASCII grid text. */
export function formatAsciiGrid(grid: DegreeGrid, decimals: number): string {
  const { columns, rows, west, south, cell, values } = grid;
  const lines = [
    `ncols ${columns}`,
    `nrows ${rows}`,
    `xllcenter ${west.toFixed(9)}`,
    `yllcenter ${south.toFixed(9)}`,
    `cellsize ${cell.toFixed(12)}`,
    `NODATA_value ${NO_DATA}`,
  ];
  for (let row = 0; row < rows; row++) {
    const cells = Array.from(values.subarray(row * columns, (row + 1) * columns), (value) =>
      value === NO_DATA ? String(NO_DATA) : value.toFixed(decimals),
    );
    lines.push(cells.join(' '));
  }
  return `${lines.join('\n')}\n`;
}

/** WGS 84 as WKT, for the `.prj` file next to a grid in degrees. */
export const WGS84_TEXT =
  'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]';

const EPSG_UNITS = { m: 9001, ft: 9002 } as const;

/**
 * Formats grids of the same area as the bands of a GeoTIFF in WGS 84 degrees.
 *
 * @param names Description of each band.
 * @param units Units of the values.
 */
export async function formatGeotiff(
  bands: readonly DegreeGrid[],
  names: readonly string[],
  units: DisplayUnits,
): Promise<Uint8Array> {
  const { writeArrayBuffer } = await import('geotiff');
  const [{ columns, rows, west, south, cell }] = bands;
  const values = new Float32Array(bands.length * columns * rows);
  for (const [band, grid] of bands.entries())
    for (let i = 0; i < columns * rows; i++) values[i * bands.length + band] = grid.values[i];
  const metadata = {
    width: columns,
    height: rows,
    BitsPerSample: bands.map(() => 32),
    SampleFormat: bands.map(() => 3),
    SamplesPerPixel: bands.length,
    ModelPixelScale: [cell, cell, 0],
    ModelTiepoint: [0, 0, 0, west - cell / 2, south + (rows - 0.5) * cell, 0],
    GTModelTypeGeoKey: 2,
    GTRasterTypeGeoKey: 1,
    GeographicTypeGeoKey: 4326,
    VerticalUnitsGeoKey: EPSG_UNITS[units],
    ImageDescription: names.map((name, band) => `band ${band + 1}: ${name}, ${units}`).join('; '),
    GDAL_NODATA: String(NO_DATA),
    PhotometricInterpretation: 1,
    // Marks the bands after the first as data rather than color.
    ExtraSamples: bands.slice(1).map(() => 0),
  };
  return new Uint8Array(writeArrayBuffer(values, metadata as never));
}

/** Returns the meters per degree of latitude at the origin of the grid. */
function metersPerDegree({ frame }: GroundLattice): number {
  const step = 0.001;
  const [, north] = frame.toLocal(frame.lat + step, frame.lon);
  return north / step;
}
