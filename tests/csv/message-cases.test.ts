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
      'Row dropped: elevation "186" is above 0, which counts as the water surface. If the file holds depths, use --vertical down. If it holds heights above sea level, export depths instead.',
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
      'This log is not used: none of its 2 rows can be used. The most frequent reason, first on line 2: "a" in column "depth_m" is not a number.',
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

  test('a grid without a depth column is asked for the depth column', async () => {
    expect(await said(table('easting,northing,c', '330000,4085000,3'), 'header-unknown')).toContain(
      'Rename the one that holds depths to "depth". Its positions are on a map grid',
    );
  });

  test('one value is one value', async () => {
    expect(await said(goodLogWith('59.5'), 'fields')).toContain('it has 1 value instead of 3');
    const end = Buffer.concat([Buffer.from(goodLogWith()), Buffer.alloc(1)]);
    expect(await said(end, 'erased-tail')).toContain('(1 byte of hex 00 or FF)');
  });
});
