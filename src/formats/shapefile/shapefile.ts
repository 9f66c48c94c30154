import { defineReaderPlugin, Refusal } from '../../../shared/contract/index.ts';
import { readerMessages } from '../../../shared/text/index.ts';
import {
  DEGREES,
  degreesFrom,
  fitDegrees,
  pointsTable,
  startsWith,
  systemBeside,
  type TablePoint,
  textOf,
  whole,
} from '../open/index.ts';

const KIND = 'a shapefile';

/**
 * Reader of points in shapefiles (ESRI Shapefile Technical Description, 1998). Attributes and coordinate
 * system come from the `.dbf` and `.prj` files next to the `.shp` file.
 */
export const shapefile = defineReaderPlugin({
  name: 'shapefile',
  summary: 'Reads shapefiles of points, with depths from the .dbf file next to the .shp file or from Z.',
  stage: 'reader',
  extensions: ['.shp'],
  options: {},
  sniff: (head) => startsWith(head, [0, 0, 0x27, 0x0a]) && head.length >= 100,
  async read({ file, bytes, sibling }, _options, context) {
    const { parseShp, parseDbf } = await import('shpjs');
    const [dbf, cpg] = await Promise.all(['.dbf', '.cpg'].map(sibling));
    const shapes = await whole(file, KIND, () => {
      checkRecords(bytes);
      return parseShp(bytes);
    });
    const records = await whole(
      file,
      KIND,
      () => {
        if (dbf === undefined) return [];
        checkTable(dbf);
        return parseDbf(dbf, cpg === undefined ? undefined : textOf(cpg).trim());
      },
      'the .dbf file beside it is damaged, incomplete or of a form that is not known here',
    );
    const places = shapes.flatMap((shape, record) => {
      const at =
        shape?.type === 'Point' ? [shape.coordinates] : shape?.type === 'MultiPoint' ? shape.coordinates : [];
      return at.map((position) => ({ position, values: records[record] ?? {} }));
    });
    if (places.length === 0) throw new Refusal([readerMessages['nothing-inside']({ file }, KIND, 'points')]);
    const prj = await systemBeside(sibling);
    const said = /^\s*GEOGCS\["GCS_WGS_1984"/.test(prj ?? '') ? DEGREES : prj;
    const isFit = fitDegrees(places.map(({ position: [x, y] }) => [x, y]));
    const toDegrees = await degreesFrom(said, isFit, context);
    const points = places.map(({ position: [x, y, z], values }): TablePoint => {
      const [lon, lat] = toDegrees(x, y);
      return { lon, lat, z, values: trimmed(values) };
    });
    return { files: [{ name: '', bytes: pointsTable(points), record: 'point' }] };
  },
});

/**
 * Removes padding from the fields of a .dbf file and formats days. The library returns the start of a day in
 * this machine's time zone.
 */
const trimmed = (values: Readonly<Record<string, unknown>>): Record<string, unknown> =>
  Object.fromEntries(
    Object.entries(values).map(([name, value]) => [
      name.replace(/\0.*$/s, '').trim(),
      typeof value === 'string'
        ? value.replace(/[\0\s]+$/, '').trimStart()
        : value instanceof Date
          ? dayOf(value)
          : value,
    ]),
  );

/** Formats a day of this machine's time zone as YYYY-MM-DD, the Swedish date format. */
const dayOf = (date: Date): string => (Number.isNaN(date.getTime()) ? '' : date.toLocaleDateString('sv'));

/** @throws Error when a record is cut or too short, since the library would then never return. */
function checkRecords(bytes: Uint8Array): void {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 100; at < bytes.length; ) {
    if (at + 8 > bytes.length) throw new Error('a record is cut');
    const length = view.getInt32(at + 4) * 2;
    if (length < 4 || at + 8 + length > bytes.length) throw new Error('a record is cut');
    at += 8 + length;
  }
}

/** @throws Error when the table is shorter than its header says. */
function checkTable(bytes: Uint8Array): void {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const [records, header, length] = [
    view.getUint32(4, true),
    view.getUint16(8, true),
    view.getUint16(10, true),
  ];
  if (header < 33 || length < 1 || header + records * length > bytes.length + 1)
    throw new Error('it is shorter than it says');
}
