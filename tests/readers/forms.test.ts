import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, test } from 'vitest';
import { formatDiagnostic } from '../../shared/contract/diagnostic.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import type { ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { readBytes } from './read-bytes.ts';

const FORMATS = resolve(import.meta.dirname, '../../fixtures/formats');
const lakeFile = (name: string): Uint8Array => readFileSync(resolve(FORMATS, 'lake', name));

interface Truth {
  readonly file: string;
  readonly lat: number;
  readonly lon: number;
  readonly depth: number;
}
/** Soundings of each file, computed by PROJ and GDAL. */
const TRUTH: readonly Truth[] = readFileSync(resolve(FORMATS, 'lake-points.csv'), 'utf8')
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => line.split(','))
  .map(([file, , , lon, lat, depth]) => ({ file, lat: Number(lat), lon: Number(lon), depth: Number(depth) }));

const BESIDE = {
  '.dbf': lakeFile('points.dbf'),
  '.prj': lakeFile('points.prj'),
};
const CASES: readonly (readonly [string, Partial<ReaderOptions>, Record<string, Uint8Array>])[] = [
  ['degrees.csv', {}, {}],
  ['track.gpx', {}, {}],
  ['sounder.nmea', {}, {}],
  ['projected.csv', { crs: 'EPSG:3067' }, {}],
  ['points.xyz', { crs: 'EPSG:3067', depthUnit: 'm' }, {}],
  ['points.geojson', {}, {}],
  ['points.shp', {}, BESIDE],
  ['sheet.xlsx', {}, {}],
  ['grid.asc', { crs: 'EPSG:3067', depthUnit: 'm', vertical: 'down' }, {}],
  ['grid.tif', { depthUnit: 'm', vertical: 'down' }, {}],
  ['packed.csv.gz', {}, {}],
  ['archive.zip', {}, {}],
];

describe('every open format', () => {
  test.each(CASES)(
    '%s: positions within 0.01 m of those of PROJ, depths exact',
    async (name, options, beside) => {
      const { rows, refusal } = await readBytes(name, lakeFile(name), options, beside);
      expect(refusal).toBeUndefined();
      const truth = TRUTH.filter(({ file }) => file === name);
      expect(rows).toHaveLength(truth.length);
      for (const [i, { lat, lon, depth }] of truth.entries()) {
        const [east, north] = localFrame(lat, lon).toLocal(rows[i].lat, rows[i].lon);
        expect(Math.hypot(east, north), `row ${i}`).toBeLessThan(0.01);
        expect(rows[i].depth).toBe(Math.fround(depth));
      }
    },
  );

  test.each([
    ['projected.csv', 'soundings/crs-missing', '--crs'],
    ['points.xyz', 'soundings/crs-missing', '--crs'],
    ['grid.asc', 'soundings/crs-missing', '--crs'],
  ])('%s without a map grid is refused with the name of the option', async (name, code, option) => {
    const { refusal } = await readBytes(name, lakeFile(name), { depthUnit: 'm', vertical: 'down' });
    expect(refusal?.code).toBe(code);
    expect(refusal?.message).toContain(option);
  });

  test.each(['points.xyz', 'projected.csv', 'grid.asc'])(
    '%s in the wrong zone, far from every waypoint, is refused with the name of the option',
    async (name) => {
      const vertical = name === 'points.xyz' ? 'up' : 'down';
      const options = { crs: 'EPSG:25833', depthUnit: 'm', vertical } as const;
      const marks = [{ lat: 60.173, lon: 25.25 }];
      const { refusal } = await readBytes(name, lakeFile(name), options, {}, marks);
      expect(refusal?.code).toBe('soundings/crs-elsewhere');
      expect(refusal?.message).toContain('--crs EPSG:25833');
      const right = await readBytes(name, lakeFile(name), { ...options, crs: 'EPSG:3067' }, {}, marks);
      expect(right.refusal).toBeUndefined();
    },
  );

  test('a map grid named in the file is not overridden by --crs', async () => {
    const options = { depthUnit: 'm', vertical: 'down' } as const;
    const { refusal } = await readBytes('grid.tif', lakeFile('grid.tif'), { ...options, crs: 'EPSG:32635' });
    expect(refusal?.code).toBe('soundings/crs-other');
    expect(refusal?.message).toContain('EPSG:3067');
  });

  test.each([
    ['points.xyz', 'soundings/depth-unit', '--depth-unit'],
    ['grid.asc', 'soundings/depth-unit', '--depth-unit'],
    ['grid.tif', 'soundings/depth-unit', '--depth-unit'],
  ])('%s without a unit is refused, as a table is', async (name, code, option) => {
    const { refusal } = await readBytes(name, lakeFile(name), { crs: 'EPSG:3067', vertical: 'down' });
    expect(refusal?.code).toBe(code);
    expect(refusal?.message).toContain(option);
  });

  test.each([
    ['# x y z', ' '],
    ['// Easting,Northing,Depth', ','],
    ['# columns x y z follow\nx,y,z', ','],
  ])('a header of map coordinates is read, commented or not: %j', async (header, delimiter) => {
    const rows = new TextDecoder().decode(lakeFile('points.xyz')).trim().split('\n');
    const text = `${header}\n${rows.map((row) => row.trim().split(/\s+/).join(delimiter)).join('\n')}\n`;
    const options = { crs: 'EPSG:3067', depthUnit: 'm' } as const;
    const { rows: read, refusal } = await readBytes('a.csv', text.replace(/-(\d+\.?\d*)\n/g, '$1\n'), {
      ...options,
      vertical: 'down',
    });
    expect(refusal?.message).toBeUndefined();
    const plain = await readBytes('points.xyz', lakeFile('points.xyz'), options);
    expect(read.map(({ lat, lon, depth }) => [lat, lon, depth])).toEqual(
      plain.rows.map(({ lat, lon, depth }) => [lat, lon, depth]),
    );
  });

  test('heights above 0 are refused without --vertical, and heights below 0 are elevations of the bottom', async () => {
    const positive = await readBytes('grid.tif', lakeFile('grid.tif'), { depthUnit: 'm' });
    expect(positive.refusal?.message).toContain('--vertical');
    const negative = await readBytes('points.xyz', lakeFile('points.xyz'), {
      crs: 'EPSG:3067',
      depthUnit: 'm',
    });
    expect(negative.rows[0].depth).toBe(12);
    expect(negative.codes).toContain('elevation');
  });

  test('grid heights below the datum are depths below it, and a height of 0 is not a sounding', async () => {
    const heights = '-3.5 -4 -4.5\n-5 0 -5.5\n-6 -6.5 -7\n';
    const grid = `ncols 3\nnrows 3\nxllcorner 402917\nyllcorner 6671919\ncellsize 2\nNODATA_value -9999\n${heights}`;
    const options = { crs: 'EPSG:3067', depthUnit: 'm', vertical: 'up' } as const;
    const { rows, account } = await readBytes('heights.asc', grid, options);
    expect(rows.map(({ depth }) => depth).sort()).toEqual([3.5, 4, 4.5, 5, 5.5, 6, 6.5, 7]);
    expect(account?.dropped).toEqual({ 'soundings/lost-bottom': 1 });
    const whole = await readBytes('heights.asc', grid, { ...options, zeroIsValid: true });
    expect(whole.rows.filter(({ depth }) => depth === 0)).toHaveLength(1);
    // Read as depths, the same numbers would lie above the water.
    expect((await readBytes('heights.asc', grid, { ...options, vertical: 'down' })).refusal).toBeDefined();
  });

  test('rows of a grid are passes, and a message about a point names its record', async () => {
    const grid = await readBytes('grid.asc', lakeFile('grid.asc'), CASES[8][1]);
    expect(new Set(grid.rows.map(({ pass }) => pass)).size).toBe(81);
    expect(grid.codes).toContain('grid-cells');
    const text = JSON.stringify({
      type: 'FeatureCollection',
      features: [5, 6, 7, -4, 8, 9].map((depth_m) => ({
        type: 'Feature',
        properties: { depth_m },
        geometry: { type: 'Point', coordinates: [25.2, 60.1] },
      })),
    });
    const points = await readBytes('a.geojson', text);
    const at = { file: 'a.geojson', line: 4, record: 'point' };
    expect(points.diagnostics.find(({ code }) => code === 'soundings/depth-sign')?.place).toEqual(at);
    const cells = 'ncols 2\nnrows 2\nxllcorner 25.2\nyllcorner 60.1\ncellsize 0.0001\n4 4\n4 0\n';
    const { diagnostics } = await readBytes('a.asc', cells, { depthUnit: 'm', vertical: 'down' });
    const lost = diagnostics.find(({ code }) => code === 'soundings/lost-bottom');
    expect(lost && formatDiagnostic(lost)).toMatch(/^a\.asc: grid row 2: warning/);
  });

  test.each([
    ['a.geojson', '{"type":"FeatureCollection","features":[{"type"'],
    ['a.csv.gz', Buffer.from([0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 3, 1, 2, 3])],
    ['a.zip', Buffer.from([0x50, 0x4b, 3, 4, 1, 2, 3])],
    ['a.tif', Buffer.concat([Buffer.from('II*\0\b\0\0\0'), Buffer.alloc(40, 0xff)])],
  ])('a damaged file is called damaged in our own words (%s)', async (name, content) => {
    const { refusal } = await readBytes(name, content);
    expect(refusal?.message).toContain('but it cannot be read: it is damaged, incomplete or of a form');
  });

  test('degrees with latitude first are called swapped, not a map grid, and the advice repairs them', async () => {
    const rows = ['32.5,-97.4,3', '32.6,-97.5,4'];
    const points = rows.map(
      (row) =>
        `{"type":"Feature","geometry":{"type":"Point","coordinates":[${row}]},"properties":{"depth_m":3}}`,
    );
    const cases = [
      ['a.xyz', rows.join('\n'), 'columns', 'lat,lon,z'],
      ['a.csv', `x,y,depth_m\n${rows.join('\n')}`, 'map', 'lat=x,lon=y'],
      [
        'a.geojson',
        `{"type":"FeatureCollection","features":[${points}]}`,
        'map',
        'lat=longitude,lon=latitude',
      ],
    ] as const;
    for (const [name, content, setting, value] of cases) {
      const options = { depthUnit: 'm', vertical: 'down' } as const;
      const { refusal } = await readBytes(name, `${content}\n`, options);
      expect(refusal?.message).toContain(
        `look swapped: all latitudes are beyond 90 degrees. Use --${setting} ${value}.`,
      );
      const repaired = await readBytes(name, `${content}\n`, { ...options, [setting]: value.split(',') });
      expect(repaired.rows[0]).toMatchObject({ lat: 32.5, lon: -97.4, depth: 3 });
    }
  });

  test('a file in degrees keeps them when --crs is given for other logs', async () => {
    const cells = 'ncols 2\nnrows 1\nxllcorner 25.2\nyllcorner 60.1\ncellsize 0.0001\n4 4\n';
    const prj =
      'GEOGCS["GCS_North_American_1983",DATUM["D_North_American_1983",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]';
    const options = { crs: 'EPSG:32614', depthUnit: 'm', vertical: 'down' } as const;
    const { rows } = await readBytes('a.asc', cells, options, { '.prj': prj });
    expect(rows[0].lat).toBeCloseTo(60.10005, 4);
  });

  test('a log of another lake that states its map grid is not asked for the grid', async () => {
    const { refusal } = await readBytes('points.shp', lakeFile('points.shp'), {}, BESIDE, [
      { lat: 32.5, lon: -97.4 },
    ]);
    expect(refusal?.message).toMatch(/waypoint\. Check that log and waypoints are of the same lake\.$/);
    expect(refusal?.repair).toBeUndefined();
  });

  test('a faulty easting is reported, not the northing beside it', async () => {
    const rows = ['500000,6650000,3', '500001,6650001,3', 'x1,6650002,3'];
    const text = `easting,northing,depth_m\n${rows.join('\n')}\n`;
    const { diagnostics, account } = await readBytes('a.csv', text, { crs: 'EPSG:3067' });
    expect(account).toMatchObject({ used: 2, dropped: { 'soundings/number': 1 } });
    const fault = diagnostics.find(({ code }) => code === 'soundings/number');
    expect(fault).toMatchObject({ place: { line: 4 }, message: expect.stringContaining('"x1"') });
  });

  test('an archive lists skipped files, and a workbook the sheets that are not tables', async () => {
    const zip = await readBytes('archive.zip', lakeFile('archive.zip'));
    expect(zip.diagnostics.find(({ code }) => code === 'soundings/passed-over')?.message).toContain(
      'picture.png',
    );
    const book = await readBytes('sheet.xlsx', lakeFile('sheet.xlsx'));
    const sheet = book.diagnostics.find(({ place }) => place?.file === 'sheet.xlsx/Notes.csv');
    expect(sheet?.severity).toBe('warning');
  });

  test.each([
    ['JPEG', [0xff, 0xd8, 0xff, 0xe0, 0, 16, 0x4a], 'a JPEG picture'],
    ['7z', [0x37, 0x7a, 0xbc, 0xaf, 0x27, 0x1c], 'a 7z file'],
    [
      'bytes of no known kind',
      Array.from({ length: 300 }, (_, i) => (i * 7) % 31),
      'binary file of an unknown kind',
    ],
  ])('a file of %s is refused with its kind, and none of its bytes are printed', async (_, bytes, words) => {
    const { refusal } = await readBytes('log.csv', Uint8Array.from(bytes));
    expect(refusal?.code).toBe('soundings/foreign');
    expect(refusal?.message).toContain(words);
    expect(refusal?.message).toMatch(/^[\x20-\x7e]*$/);
  });
});
