import { depthAt, isSupportedAt, sdAt } from '../../../shared/bottom/sample.ts';
import type { EnrichedWaypoint } from '../../../shared/contract/plugin.ts';
import { localFrame } from '../../../shared/geo/local-frame.ts';
import { type MapSystem, mapSystem } from '../../../shared/geo/projection.ts';

/** The modeled bottom round all marks on one grid of square cells in a UTM zone; rows from north to south. */
export interface BottomGrid {
  /** EPSG number of the zone. */
  readonly epsg: number;
  readonly system: MapSystem;
  readonly columns: number;
  readonly rows: number;
  /** m. */
  readonly cell: number;
  /** Corner of the grid in the zone, m. */
  readonly west: number;
  readonly north: number;
  /** m, positive down, and its standard deviation; NaN where no mark's model reaches or nobody sounded. */
  readonly depth: Float32Array;
  readonly sd: Float32Array;
}

/** Most cells: more would not fit in the programs that are to open it. */
const MOST_CELLS = 16_000_000;

/**
 * Depth round the marks with its uncertainty: at each cell that of the mark whose model is surest there.
 *
 * @param cell Width of a cell, m; wider where marks are so far apart that there would be too many.
 * @returns undefined where no mark has a modeled bottom.
 */
export async function bottomGrid(
  waypoints: readonly EnrichedWaypoint[],
  cell: number,
): Promise<BottomGrid | undefined> {
  const models = waypoints.flatMap(({ fields: { bottom } }) =>
    bottom?.grid === undefined ? [] : [{ ...bottom, grid: bottom.grid }],
  );
  if (models.length === 0) return undefined;
  const epsg = utmZone(models[0].lat, models[0].lon);
  const system = await mapSystem(`EPSG:${epsg}`);
  if (typeof system === 'string') throw new Error(`EPSG:${epsg} is ${system}`);
  const marks = models.map((model) => {
    const [x, y] = system.fromDegrees(model.lon, model.lat);
    // The zone's north is not north: its grid is turned by some degrees against the model's.
    const reach = (model.grid.size * model.grid.cellSize) / Math.SQRT2;
    return { ...model, x, y, reach };
  });
  const box = (of: (mark: (typeof marks)[number]) => number, pick: (...values: number[]) => number): number =>
    marks.map(of).reduce((a, b) => pick(a, b));
  const [west, east] = [
    box(({ x, reach }) => x - reach, Math.min),
    box(({ x, reach }) => x + reach, Math.max),
  ];
  const [south, north] = [
    box(({ y, reach }) => y - reach, Math.min),
    box(({ y, reach }) => y + reach, Math.max),
  ];
  const width = Math.max(cell, Math.ceil(Math.sqrt(((east - west) * (north - south)) / MOST_CELLS)));
  const snapped = { west: Math.floor(west / width) * width, north: Math.ceil(north / width) * width };
  const columns = Math.ceil((east - snapped.west) / width);
  const rows = Math.ceil((snapped.north - south) / width);
  const depth = new Float32Array(columns * rows).fill(Number.NaN);
  const sd = new Float32Array(columns * rows).fill(Number.NaN);
  for (const { grid, x, y, reach, lat, lon } of marks) {
    const frame = localFrame(lat, lon);
    const [first, last] = [x - reach, x + reach].map((at) => Math.floor((at - snapped.west) / width));
    const [top, bottom] = [y + reach, y - reach].map((at) => Math.floor((snapped.north - at) / width));
    for (let row = Math.max(0, top); row <= Math.min(rows - 1, bottom); row++) {
      for (let column = Math.max(0, first); column <= Math.min(columns - 1, last); column++) {
        const place = system.toDegrees(
          snapped.west + (column + 0.5) * width,
          snapped.north - (row + 0.5) * width,
        );
        const [toEast, toNorth] = frame.toLocal(place[1], place[0]);
        if (!isSupportedAt(grid, toEast, toNorth)) continue;
        const node = row * columns + column;
        const doubt = sdAt(grid, toEast, toNorth);
        if (sd[node] <= doubt) continue;
        sd[node] = doubt;
        depth[node] = depthAt(grid, toEast, toNorth);
      }
    }
  }
  return { epsg, system, columns, rows, cell: width, ...snapped, depth, sd };
}

/** EPSG number of the UTM zone (WGS 84) of a place. */
const utmZone = (lat: number, lon: number): number =>
  (lat < 0 ? 32700 : 32600) + Math.min(60, Math.floor((lon + 180) / 6) + 1);

/** A value of the grid as an ESRI ASCII grid; cells without one are -9999. */
export function asciiGridText(
  { columns, rows, cell, west, north }: BottomGrid,
  values: Float32Array,
): string {
  const lines = [
    `ncols ${columns}`,
    `nrows ${rows}`,
    `xllcorner ${west}`,
    `yllcorner ${north - rows * cell}`,
    `cellsize ${cell}`,
    'NODATA_value -9999',
  ];
  for (let row = 0; row < rows; row++) {
    const cells = Array.from(values.subarray(row * columns, (row + 1) * columns), (value) =>
      Number.isNaN(value) ? '-9999' : value.toFixed(3),
    );
    lines.push(cells.join(' '));
  }
  return `${lines.join('\n')}\n`;
}

/** The zone of a grid as WKT, for a `.prj` file. */
export function zoneText({ epsg }: BottomGrid): string {
  const zone = epsg % 100;
  const isSouth = epsg >= 32700;
  return [
    `PROJCS["WGS_1984_UTM_Zone_${zone}${isSouth ? 'S' : 'N'}"`,
    'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]',
    'PROJECTION["Transverse_Mercator"]',
    'PARAMETER["False_Easting",500000.0]',
    `PARAMETER["False_Northing",${isSouth ? '10000000.0' : '0.0'}]`,
    `PARAMETER["Central_Meridian",${zone * 6 - 183}.0]`,
    'PARAMETER["Scale_Factor",0.9996]',
    'PARAMETER["Latitude_Of_Origin",0.0]',
    `UNIT["Meter",1.0]]`,
  ].join(',');
}

/** Depth and its uncertainty as the two bands of a GeoTIFF. */
export async function geotiffBytes(grid: BottomGrid): Promise<Uint8Array> {
  const { writeArrayBuffer } = await import('geotiff');
  const { columns, rows, cell, west, north, epsg, depth, sd } = grid;
  const values = new Float32Array(2 * columns * rows);
  for (let i = 0; i < columns * rows; i++) {
    values[2 * i] = Number.isNaN(depth[i]) ? -9999 : depth[i];
    values[2 * i + 1] = Number.isNaN(sd[i]) ? -9999 : sd[i];
  }
  const metadata = {
    width: columns,
    height: rows,
    BitsPerSample: [32, 32],
    SampleFormat: [3, 3],
    SamplesPerPixel: 2,
    ModelPixelScale: [cell, cell, 0],
    ModelTiepoint: [0, 0, 0, west, north, 0],
    GTModelTypeGeoKey: 1,
    GTRasterTypeGeoKey: 1,
    ProjectedCSTypeGeoKey: epsg,
    GDAL_NODATA: '-9999',
    PhotometricInterpretation: 1,
    // The second band is none of the picture.
    ExtraSamples: [0],
  };
  return new Uint8Array(writeArrayBuffer(values, metadata as never));
}
