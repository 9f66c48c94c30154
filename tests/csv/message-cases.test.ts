import { describe, expect, test } from 'vitest';
import type { ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { goodLogWith, readText } from './read-text.ts';

const said = async (log: string | Buffer, code: string, options: Partial<ReaderOptions> = {}) => {
  const { refusal, diagnostics } = await readText(log, options);
  return [...(refusal === undefined ? [] : [refusal]), ...diagnostics].find(
    (one) => one.code === `soundings/${code}`,
  )?.message;
};
const table = (header: string, ...rows: readonly string[]): string => `${[header, ...rows].join('\n')}\n`;

describe('a message about a log says what the log shows', () => {
  test('a depth in another unit than its column is a number all the same', async () => {
    expect(await said(goodLogWith('59.5,24.5,12 ft'), 'number')).toBe(
      'Row dropped: "12 ft" in column "depth_m" is not in the unit of this column.',
    );
  });

  test('elevations above 0 are not said to be out of the water', async () => {
    const log = table('lat,lon,elev_m', '59.5,24.5,-3', '59.6,24.5,186', '59.7,24.5,-4');
    expect(await said(log, 'depth-sign', { vertical: 'up' })).toBe(
      'Row dropped: elevation "186" is above 0, which counts as the water surface. If this log writes depths without a minus sign, add --vertical down. If it contains heights above sea level, export depths instead.',
    );
  });

  test('--vertical up is not advised where it would drop every row', async () => {
    const column = (...z: readonly number[]) =>
      table('lat,lon,z_m', ...z.map((value) => `59.5,24.5,${value}`));
    expect(await said(column(3, 4), 'vertical')).not.toContain('--vertical up');
    expect(await said(column(3, -4), 'vertical')).toContain('--vertical up');
    expect(await said(column(-3, -4), 'elevation')).not.toContain('--vertical down');
  });

  test('--max-dropped is not advised when no row can be used', async () => {
    const log = table('lat,lon,depth_m', '59.5,24.5,a', '59.5,24.5,b');
    expect((await readText(log)).refusal?.repair).toBeUndefined();
    expect(await said(log, 'too-many-dropped')).toBe(
      'This log is not used: none of its 2 rows can be used. The most frequent reason: "a" in column "depth_m" is not a number. Export the log again, or leave it out.',
    );
  });

  test('dates in both orders are not said to leave the order open', async () => {
    const log = (...dates: readonly string[]) =>
      table('lat,lon,depth_m,time', ...dates.map((date) => `59.5,24.5,3,${date} 10:00`));
    expect(await said(log('05/13/2024', '13/05/2024'), 'date-order')).toContain('others only month/day');
    expect(await said(log('05/06/2024', '05/13/2024'), 'date-order')).toBe(
      'Dates such as "05/06/2024 10:00" are read as month/day/year, the only order that fits every date in this log.',
    );
  });

  test('a column that marks rows as invalid does not count as unused', async () => {
    expect(await said(table('lat,lon,depth_m,valid', '59.5,24.5,3,1'), 'extra-columns')).toBeUndefined();
  });

  test('a grid without a depth column is asked for the depth column, and for the grid if it is not given', async () => {
    const log = table('easting,northing,c', '330000,4085000,3');
    expect(await said(log, 'header-unknown')).toContain('Rename the column of depths to "depth".');
    expect(await said(log, 'header-unknown')).toContain('add --crs EPSG:NUMBER');
    expect(await said(log, 'header-unknown', { crs: 'EPSG:32617' })).not.toContain('--crs');
  });

  test('a text without enough columns is not asked which of them are meant', async () => {
    expect(await said('Notes of a day on the lake.\n', 'header-unknown')).not.toContain('--map');
    expect(await said(table('lat,lon', '59.5,24.5'), 'header-unknown')).toBe(
      'This log contains only "lat" and "lon". Export it again with depth, or leave it out.',
    );
  });

  test('the names of columns are those above the numbers, not those of a title', async () => {
    const log = table('Day on the lake', 'Lat in deg;Lon in deg;Tiefe', '59.5;24.5;3');
    expect(await said(log, 'header-unknown')).toContain(
      'the columns are "Lat in deg", "Lon in deg" and "Tiefe".',
    );
  });

  test('rows on a map grid without a header are not asked for latitude and longitude', async () => {
    expect(await said('300000,4430000,3\n', 'no-header')).toContain('ends in .xyz, and add --crs');
    for (const row of ['59.5,24.5,3', '5930.1,2430.2,3', '595000000,245000000,3'])
      expect(await said(`${row}\n`, 'no-header')).toContain('--columns lat,lon,depth');
  });

  test('columns on a map grid that --columns or a header names are never repaired by --crs alone', async () => {
    for (const columns of [
      ['x', 'y', 'depth_m'],
      ['easting', 'northing', 'depth_m'],
    ])
      expect(await said('300000,4430000,3\n', 'projected', { columns, crs: 'EPSG:32617' })).toContain(
        'which are read only from a file named .xyz. Rename the file.',
      );
    const log = table('Easting_UTM17,Northing_UTM17,depth_m', '300000,4430000,3');
    expect(await said(log, 'projected', { crs: 'EPSG:32617' })).toContain(
      'Rename the two columns to "easting" and "northing", or',
    );
  });

  test('a second header without longitude is not said to show a log without positions', async () => {
    const log = table('time,lat,lon,depth_m', '2026-05-18T10:00Z,59.5,24.5,3', 'time,lat,depth_m');
    expect(await said(log, 'header-changed')).toContain('has no column for longitude. Split the file');
  });

  test('columns that --map names already stay in the advice', async () => {
    const log = table('Breite,Laenge,Tiefe', '59.5,24.5,3');
    expect(await said(log, 'header-unknown', { map: ['depth=Tiefe'] })).toContain(
      '--map depth=Tiefe,lat=NAME,lon=NAME.',
    );
  });

  test('--columns without a depth or half a position is refused, and says what is missing', async () => {
    const missing = (...columns: readonly string[]) => said('59.5,24.5,3\n', 'no-positions', { columns });
    expect(await missing('lat', 'lon', '-')).toContain('--columns names no column for depth.');
    expect(await missing('lat', 'depth')).toContain('--columns names no column for longitude.');
  });

  test('a log on another datum is said to be left out, and its datum can be named as written', async () => {
    const datum = 'Lake "A", 1927 *';
    const log = table('lat,lon,depth_m,datum', `59.5,24.5,3,"${datum.replaceAll('"', '""')}"`);
    expect(await said(log, 'datum')).toMatch(
      /^This log is not used: .* add --datum "Lake \\"A\\", 1927 \*"\.$/,
    );
    expect(await said(log, 'datum', { datum })).toBeUndefined();
  });

  test('a decimal point in a log with decimal commas is named', async () => {
    const log = table('lat;lon;depth_m', '59,5;24,5;3,1', '59,6;24,5;3,2', '59,7;24,5;3.3');
    expect(await said(log, 'decimal-mark')).toContain('"3.3" in column "depth_m" has a point');
  });

  test('a depth without a unit and an unknown unit are told apart', async () => {
    const log = (...rows: readonly string[]) => table('lat,lon,depth,unit', '59.5,24.5,3,m', ...rows);
    expect(await said(log('59.6,24.5,4,'), 'unit')).toContain('depth "4" has no unit');
    expect(await said(log('59.6,24.5,4,x9'), 'unit')).toContain('unit "x9" is not known');
  });

  test('a log in which every row lacks a depth is said to hold no depths', async () => {
    expect(await said(table('lat,lon,depth_m', '59.5,24.5,'), 'no-soundings')).toContain('it has no depths');
    expect(await said(table('lat,lon,depth_m', '0,0,3'), 'no-soundings')).toContain('every row was dropped');
  });

  test('the unit of depths is said to come from where it is written', async () => {
    const row = '59.5,24.5,3';
    expect(await said(table('lat,lon,depth_ft', row), 'depth-unit')).toContain('name of column "depth_ft"');
    const below = 'Depths are in ft (from the row of units below column "depth").';
    expect(await said(table('lat,lon,depth', 'deg,deg,ft', row), 'depth-unit')).toBe(below);
  });

  test('the number advised for one of two columns is the number of one of them', async () => {
    const log = table('lat,lon,depth_ft,depth_m', '59.5,24.5,10,3');
    expect(await said(log, 'two-columns')).toContain('such as --map depth=#3.');
    expect(await said(log, 'two-columns', { map: ['depth=#3'] })).toBeUndefined();
  });

  test('dates are not called times', async () => {
    const log = (time: string) => table('lat,lon,depth_m,time', `59.5,24.5,3,2026-05-18${time}`);
    expect(await said(log(''), 'time-zone')).toMatch(/^Dates have no time zone/);
    expect(await said(log(' 10:00'), 'time-zone')).toMatch(/^Times have no time zone/);
  });

  test('one value is one value', async () => {
    expect(await said(goodLogWith('59.5'), 'fields')).toContain('it has 1 value instead of 3');
    const end = Buffer.concat([Buffer.from(goodLogWith()), Buffer.alloc(1)]);
    expect(await said(end, 'erased-tail')).toContain('(1 byte of hex 00 or FF)');
  });
});
