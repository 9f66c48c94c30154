import type { GeoTIFFImage } from 'geotiff';
import { defineReaderPlugin, type LengthUnit, Refusal } from '../../../shared/contract/index.ts';
import { readerMessages } from '../../../shared/text/index.ts';
import { bufferOf, headText, systemBeside, whole } from '../open/index.ts';
import { cellsOf, type Grid } from './cells.ts';

const KIND = 'a GeoTIFF';
/** Maximum number of cells in a grid; judgment. */
const MAX_CELLS = 50_000_000;

/** Reader of GeoTIFF grids (OGC 19-008r4). Each cell with a value in the first band becomes a sounding. */
export const geotiff = defineReaderPlugin({
  name: 'geotiff',
  summary: 'Reads GeoTIFF grids: each cell of the first band is a sounding.',
  stage: 'reader',
  extensions: ['.tif', '.tiff'],
  options: {},
  sniff: (head) => /^(?:II[*+]\0|MM\0[*+])/.test(headText(head, 4)),
  async read({ file, bytes, sibling }, _options, context) {
    const { fromArrayBuffer } = await import('geotiff');
    const image = await whole(file, KIND, async () => {
      const tiff = await fromArrayBuffer(bufferOf(bytes));
      return tiff.getImage(0);
    });
    const grid = await whole(file, KIND, () => gridOf(image, bytes.length, file));
    const said = systemOf(image) ?? (await systemBeside(sibling));
    const cell = grid.at(1, 0)[0] - grid.at(0, 0)[0];
    return { soundings: await cellsOf(grid, cell, said, file, context) };
  },
});

/** Value of an EPSG key when the file defines its own coordinate system. */
const OWN = 32767;
const VERTICAL_UNITS: Readonly<Record<number, LengthUnit>> = { 9001: 'm', 9002: 'ft', 9014: 'fm' };

const keysOf = (image: GeoTIFFImage): Record<string, number> =>
  (image.getGeoKeys() ?? {}) as unknown as Record<string, number>;

function systemOf(image: GeoTIFFImage): string | undefined {
  const {
    ProjectedCSTypeGeoKey: projected,
    GeographicTypeGeoKey: geographic,
    GTModelTypeGeoKey: model,
  } = keysOf(image);
  const code = model === 2 ? geographic : (projected ?? geographic);
  return code === undefined || code === OWN ? undefined : `EPSG:${code}`;
}

/** @param size Length of the file, bytes. */
async function gridOf(image: GeoTIFFImage, size: number, file: string): Promise<Grid> {
  const [columns, rows] = [image.getWidth(), image.getHeight()];
  if (columns * rows > MAX_CELLS)
    throw new Refusal([
      readerMessages['damaged large']({ file }, KIND, `it has more than ${MAX_CELLS / 1e6} million cells`),
    ]);
  const blocks = Math.ceil(columns / image.getTileWidth()) * Math.ceil(rows / image.getTileHeight());
  // More blocks than bytes mean a false block size. A list of that many blocks may not fit in memory.
  if (!(columns > 0 && rows > 0 && blocks <= size))
    throw new Refusal([readerMessages.damaged({ file }, KIND)]);
  const none = image.getGDALNoData();
  // No value of 1e30 or more is a depth. The mark for no data may have been rounded to single precision.
  const isNone = (value: number): boolean =>
    !(Math.abs(value) < 1e30) || value === none || (none !== null && value === Math.fround(none));
  const { scale = 1, offset = 0 } = await scaling(image);
  const keys = keysOf(image);
  const half = keys.GTRasterTypeGeoKey === 2 ? 0 : 0.5;
  return {
    columns,
    rows,
    at: placing(image, half, file),
    depthUnit: VERTICAL_UNITS[keys.VerticalUnitsGeoKey],
    read: (from, to) =>
      whole(file, KIND, async () => {
        const values = (await image.readRasters({
          samples: [0],
          window: [0, from, columns, to],
          interleave: true,
        })) as unknown as ArrayLike<number>;
        return Float64Array.from(values, (value) => (isNone(value) ? Number.NaN : value * scale + offset));
      }),
  };
}

/** Reads the scale and offset of stored values, as written by GDAL. */
async function scaling(image: GeoTIFFImage): Promise<{ readonly scale?: number; readonly offset?: number }> {
  const found = (await image.getGDALMetadata(0)) as Record<string, string> | null;
  const number = (text: string | undefined): number | undefined =>
    text === undefined || Number.isNaN(Number(text)) ? undefined : Number(text);
  return { scale: number(found?.SCALE), offset: number(found?.OFFSET) };
}

/**
 * Returns a function that gives the center of a cell.
 *
 * @param half Distance from the cell's reference point in the file to its center, cells: 0 or 0.5.
 * @throws Refusal for an image without a position.
 */
function placing(image: GeoTIFFImage, half: number, file: string): Grid['at'] {
  const matrix = image.fileDirectory.getValue('ModelTransformation') as ArrayLike<number> | undefined;
  if (matrix !== undefined && matrix.length >= 8) {
    const [a, b, , c, d, e, , f] = Array.from(matrix);
    return (column, row) => [
      a * (column + half) + b * (row + half) + c,
      d * (column + half) + e * (row + half) + f,
    ];
  }
  try {
    const [x, y] = image.getOrigin();
    const [dx, dy] = image.getResolution();
    if ([x, y, dx, dy].every(Number.isFinite))
      return (column, row) => [x + (column + half) * dx, y + (row + half) * dy];
  } catch {
    // The refusal below reports that there is no position.
  }
  throw new Refusal([readerMessages['nothing-inside']({ file }, 'a TIFF picture', 'a place on the map')]);
}
