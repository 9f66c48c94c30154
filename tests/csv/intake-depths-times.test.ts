import { describe, expect, test } from 'vitest';
import type { ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { goodLogWith, goodRows, readText } from './read-text.ts';

describe('depths', () => {
  test.each(['0', '0.0', '-0', '0.000'])(
    'D01 depth %s means lost bottom, unless --zero-is-valid',
    async (text) => {
      const log = goodLogWith(`59.5,24.5,${text}`);
      expect((await readText(log)).account?.dropped).toEqual({ 'soundings/lost-bottom': 1 });
      expect((await readText(log, { zeroIsValid: true })).account?.used).toBe(21);
    },
  );

  test('D02 a negative depth drops its row', async () => {
    expect((await readText(goodLogWith('59.5,24.5,-3.2'))).account?.dropped).toEqual({
      'soundings/depth-sign': 1,
    });
  });

  test('D02 a depth column that is negative throughout is refused', async () => {
    const { refusal } = await readText(goodLogWith().replace(/,(\d+\.\d\d)\n/g, ',-$1\n'));
    expect(refusal?.message).toMatch(/The most frequent reason: depth "-[\d.]+" is negative\./);
    expect(refusal?.place?.line).toBe(2);
  });

  test.each(['', '---', 'NaN', '-1', '65535', '9999', '-9999', '4294967295'])(
    'D03 %j means no depth',
    async (text) => {
      const result = await readText(goodLogWith(`59.5,24.5,${text}`), { maxDepth: 12000 });
      expect(result.account?.dropped).toEqual({ 'soundings/no-depth': 1 });
    },
  );

  test.each(['Infinity', '1e999', '-Infinity'])('D04 %s is never a depth', async (text) => {
    const result = await readText(goodLogWith(`59.5,24.5,${text}`));
    expect(result.account?.used).toBe(20);
  });

  test('D05 depths beyond the limit drop their row, and --max-depth moves the limit', async () => {
    const log = goodLogWith('59.5,24.5,500.5');
    expect((await readText(log)).account?.dropped).toEqual({ 'soundings/depth-range': 1 });
    expect((await readText(log, { maxDepth: 600 })).account?.used).toBe(21);
  });

  test('D10 D16 quantized depths and depths with different numbers of decimals are read as they are', async () => {
    const { rows } = await readText(
      'lat,lon,depth_ft\n59.50001,24.5,3.1\n59.50002,24.5,3.2\n59.50003,24.5,3\n59.50004,24.5,3.125\n',
    );
    expect(rows.map((row) => row.depth / 0.3048)).toEqual(
      [3.1, 3.2, 3, 3.125].map((d) => expect.closeTo(d, 3)),
    );
  });

  test('D14 scientific notation is read', async () => {
    expect((await readText(goodLogWith('59.5,24.5,1.25e1'))).rows[10].depth).toBe(12.5);
  });

  test('D15 a depth with a decimal comma among decimal points drops its row', async () => {
    const text = goodLogWith('59.5,24.5,3#2').replaceAll(',', ';').replace('#', ',');
    expect((await readText(text)).account?.dropped).toEqual({ 'soundings/decimal-mark': 1 });
  });
});

/** Reads a log with these time texts, and returns the result with its times. */
async function times(
  texts: readonly string[],
  changes: Partial<ReaderOptions> = {},
  header = 'lat,lon,depth_m,time',
) {
  const lines = goodRows(texts.length).map((row, i) => `${row},${texts[i]}`);
  const result = await readText(`${header}\n${lines.join('\n')}\n`, changes);
  return { ...result, times: result.rows.map((row) => row.time) };
}

const AT = 1704104100; // 2024-01-01T10:15:00Z

describe('times', () => {
  test('T01 a log without times gives rows without times, and a message says so', async () => {
    const result = await readText(goodLogWith());
    expect(result.rows.every((row) => Number.isNaN(row.time))).toBe(true);
    expect(result.codes).toContain('no-times');
  });

  test.each([
    ['2024-01-01T10:15:00Z', 0],
    ['2024-01-01T12:15:00+02:00', 0],
    ['2024-01-01T05:15:00-0500', 0],
    ['2024-01-01T10:15:00.5Z', 0.5],
    ['2024-01-01T10:15:00.123456789Z', 0.123456789],
    ['"2024-01-01T10:15:00,25Z"', 0.25],
    ['20240101T101500Z', 0],
    ['2024-01-01 10:15:00Z', 0],
    ['2024-01-01T10:15Z', 0],
  ])('T02 ISO 8601 %s is read', async (text, more) => {
    expect((await times([text])).times[0]).toBeCloseTo(AT + more, 6);
  });

  test('T03 a time without a zone is read as UTC, with a warning; --tz overrides it', async () => {
    const text = '2024-01-01T10:15:00';
    const result = await times([text]);
    expect(result.times).toEqual([AT]);
    expect(result.codes).toContain('time-zone');
    expect((await times([text], { tz: '-05:00' })).times).toEqual([AT + 5 * 3600]);
    expect((await times([text], { tz: 'America/Chicago' })).times).toEqual([AT + 6 * 3600]);
    expect((await times(['2024-07-01T10:15:00'], { tz: 'Europe/Oslo' })).times).toEqual([
      1719828900 - 7200 + 0,
    ]);
    expect((await times([text], { tz: 'Nowhere/Town' })).refusal?.code).toBe('soundings/zone');
  });

  test('T03 times that state their offset get no warning about a missing zone', async () => {
    const result = await times(['2024-01-01T10:15:00-05:00', '2024-01-01T10:15:01-05:00']);
    expect(result.times).toEqual([AT + 5 * 3600, AT + 5 * 3600 + 1]);
    expect(result.codes).not.toContain('time-zone');
    expect(result.codes).not.toContain('time-forms');
  });

  test.each([
    ['1704104100', 0],
    ['1704104100.25', 0.25],
    ['1704104100250', 0.25],
    ['1704104100250000', 0.25],
  ])('T04 Unix time %s is recognized by its number of digits', async (text, more) => {
    expect((await times([text])).times).toEqual([AT + more]);
  });

  test('T04 mixed Unix seconds and milliseconds give a warning', async () => {
    const result = await times(['1704104100', '1704104101000']);
    expect(result.times).toEqual([AT, AT + 1]);
    expect(result.codes).toContain('time-forms');
  });

  test("T05 a spreadsheet's day numbers are refused without --spreadsheet-days", async () => {
    const text = '45292.427083333336';
    expect((await times([text])).refusal?.code).toBe('soundings/day-number');
    expect((await times([text], { spreadsheetDays: true })).times[0]).toBeCloseTo(AT, 3);
  });

  test('T06 an ambiguous date order is refused, unless a row settles it or --date-order gives it', async () => {
    const texts = ['01/02/2024 10:15:00', '01/02/2024 10:15:01'];
    const { refusal } = await times(texts);
    expect(refusal).toMatchObject({ code: 'soundings/date-order', place: { line: 2 } });
    expect((await times(texts, { dateOrder: 'mdy' })).times[0]).toBe(AT + 86400);
    expect((await times(texts, { dateOrder: 'dmy' })).times[0]).toBe(AT + 31 * 86400);
    const proven = await times([...texts, '13/02/2024 10:15:00']);
    expect(proven.times[0]).toBe(AT + 31 * 86400);
    expect(proven.codes).toContain('date-order');
    expect((await times([...texts, '13/02/2024 10:15:00', '02/13/2024 10:15:00'])).refusal?.code).toBe(
      'soundings/date-order',
    );
  });

  test.each([
    ['2024-01-01 10:15 PM', 12 * 3600],
    ['2024-01-01 10:15:00 am', 0],
    ['2024-01-01 12:05 AM', -(10 * 60 + 10) * 60],
    ['2024-01-01 12:15 p.m.', 2 * 3600],
  ])('T07 a time of a 12-hour clock (%s) is read', async (text, more) => {
    expect((await times([text])).times).toEqual([AT + more]);
  });

  test('T08 date and time in separate columns are combined', async () => {
    const { times: read } = await times(['2024-01-01,10:15:00'], {}, 'lat,lon,depth_m,date,time');
    expect(read).toEqual([AT]);
    const turned = await times(['10:15:00.5,20240101'], {}, 'lat,lon,depth_m,time,date');
    expect(turned.times).toEqual([AT + 0.5]);
  });

  test('T08 a date alone counts as local noon, so that no time zone moves it to another day', async () => {
    // 2024-01-01 12:00 UTC by any calendar is 19723.5 days after 1970 began.
    expect((await times(['2024-01-01', '2024-01-02'])).times).toEqual([19723.5 * 86400, 19724.5 * 86400]);
    expect((await times(['2024-01-01'], { tz: '-11:00' })).times).toEqual([19723.5 * 86400 + 11 * 3600]);
  });

  test('T08 a time of day alone is used for order and speed, with a warning', async () => {
    const result = await times(['10:15:00', '10:15:01.5']);
    expect(result.times).toEqual([36900, 36901.5]);
    expect(result.codes).toContain('time-relative');
  });

  test('T09 times of day without dates continue past midnight', async () => {
    expect((await times(['23:59:59', '00:00:01', '00:00:02'])).times).toEqual([86399, 86401, 86402]);
  });

  test('T10 a time that goes backward is kept, and a warning names its line', async () => {
    const result = await times(['2024-01-01T10:15:05Z', '2024-01-01T10:15:00Z', '2024-01-01T10:15:01Z']);
    expect(result.times).toEqual([AT + 5, AT, AT + 1]);
    expect(result.diagnostics.find((d) => d.code === 'soundings/time-back')?.place?.line).toBe(3);
  });

  test('T10 rows not in order of time are sorted, with one warning', async () => {
    // Two rows per second: rows of the same second keep their order.
    const line = (i: number): string =>
      `${new Date((AT + (i >> 1)) * 1000).toISOString()},59.5,${(24.5 + i * 1e-5).toFixed(5)},${(10 + i / 100).toFixed(2)}`;
    const lines = Array.from({ length: 60 }, (_, i) => line(i));
    const read = (rows: readonly string[]) => readText(`time,lat,lon,depth_m\n${rows.join('\n')}\n`);
    const rowsOf = async (rows: readonly string[]) =>
      (await read(rows)).rows.map(({ time, lon, depth }) => [time, lon, depth]);
    const asTaken = await rowsOf(lines);
    const newestFirst = lines.toReversed();
    expect(await rowsOf(newestFirst)).toEqual(asTaken);
    const mixed = [...lines.filter((_, i) => i % 4 >= 2), ...lines.filter((_, i) => i % 4 < 2)];
    const shuffled = mixed.flatMap((_, i) => (i % 4 === 0 ? mixed.slice(i, i + 4).toReversed() : []));
    expect((await read(shuffled)).rows.map(({ time }) => time)).toEqual(asTaken.map(([time]) => time));
    const { codes, diagnostics, account } = await read(newestFirst);
    expect(codes.filter((code) => code.startsWith('time'))).toEqual(['time-order']);
    expect(diagnostics.find(({ code }) => code === 'soundings/time-order')?.place?.line).toBe(2);
    expect([account?.read, account?.used]).toEqual([60, 60]);
  });

  test('T11 equal times are accepted', async () => {
    const result = await times(['2024-01-01T10:15:00Z', '2024-01-01T10:15:00Z']);
    expect(result.rows).toHaveLength(2);
    expect(result.codes).not.toContain('time-back');
  });

  test.each(['1970-01-01T00:00:07Z', '1980-01-06T00:00:12Z', '2000-01-01T00:01:00Z'])(
    'T12 a row written after a clock reset (%s) is kept without its time',
    async (text) => {
      const result = await times(['2024-01-01T10:15:00Z', text, '2024-01-01T10:15:02Z']);
      expect(result.times).toEqual([AT, Number.NaN, AT + 2]);
      expect(result.account?.used).toBe(3);
    },
  );

  test('T12 a time exactly 1024 weeks early is dropped, and the message mentions 1024 weeks', async () => {
    const early = new Date((AT + 1 - 619_315_200) * 1000).toISOString();
    for (const order of [
      ['2024-01-01T10:15:00Z', early, '2024-01-01T10:15:02Z'],
      [early, '2024-01-01T10:15:02Z', '2024-01-01T10:15:03Z'],
    ]) {
      const result = await times(order);
      expect(result.times.filter((time) => Number.isNaN(time))).toHaveLength(1);
      expect(result.diagnostics.find((d) => d.code === 'soundings/time-rollover')?.message).toContain(
        '1024 weeks',
      );
    }
  });

  test('T13 rows with times before 1990 or more than a day ahead are kept without their times', async () => {
    const now = AT;
    const result = await times(['1989-12-31T23:59:59Z', '2024-01-02T10:14:59Z', '2024-01-02T10:15:01Z'], {
      now,
    });
    expect(result.times).toEqual([Number.NaN, AT + 86399, Number.NaN]);
    expect(result.codes).toContain('time-year');
  });

  test.each([
    '2024-02-30T10:00:00Z',
    '2024-01-01T25:00:00Z',
    '2024-01-01T10:60:00Z',
    '2023-02-29T10:00:00Z',
    'yesterday',
    '12',
    '',
  ])('T14 %j is not a time, and its row is kept without one', async (text) => {
    const result = await times(['2024-01-01T10:15:00Z', text]);
    expect(result.times).toEqual([AT, Number.NaN]);
    expect(result.codes).toContain('time-invalid');
  });

  test('T15 a leap second comes before the second that follows it', async () => {
    const read = (await times(['2016-12-31T23:59:59.5Z', '2016-12-31T23:59:60Z', '2017-01-01T00:00:00Z']))
      .times;
    expect(read[1]).toBeCloseTo(1483228799.999, 6);
    expect(read[0] < read[1] && read[1] < read[2]).toBe(true);
  });

  test('T16 a local time that occurred twice or never gives a warning', async () => {
    const fold = await times(['2024-11-03T01:30:00'], { tz: 'America/Chicago' });
    expect(fold.times).toEqual([Date.UTC(2024, 10, 3, 6, 30) / 1000]);
    expect(fold.codes).toContain('time-fold');
    const gap = await times(['2024-03-10T02:30:00'], { tz: 'America/Chicago' });
    expect(gap.times).toEqual([Date.UTC(2024, 2, 10, 8, 30) / 1000]);
    expect(gap.codes).toContain('time-gap');
  });

  test('T17 a long gap between times is accepted', async () => {
    const result = await times(['2024-01-01T10:15:00Z', '2024-01-01T12:15:00Z']);
    expect(result.times).toEqual([AT, AT + 7200]);
  });
});

describe('numbers', () => {
  test.each([
    ['1.', 1],
    ['.5', 0.5],
    ['+1', 1],
    ['1e-3', 0.001],
  ])('N01 %s is a number', async (text, value) => {
    expect((await readText(goodLogWith(`59.5,24.5,${text}`))).rows[10].depth).toBeCloseTo(value, 6);
  });

  test.each(['0x10', '1_000', '"1,0,0"', '--5', '1-2', '12ft', '1e', '.', '+', '1.2.3', '1 2'])(
    'N02 %s is not a number, and its row is dropped',
    async (text) => {
      const result = await readText(goodLogWith(`59.5,24.5,${text}`));
      expect(result.account?.read).toBe(21);
      expect(result.account?.used).toBe(20);
    },
  );

  test.each(['\u221224.5', '\u201324.5'])(
    'N03 a typeset minus sign (%s) is read, with a warning',
    async (lon) => {
      const result = await readText(goodLogWith(`59.5,${lon},3.2`));
      expect(result.rows[10].lon).toBe(-24.5);
      expect(result.codes).toContain('minus-sign');
    },
  );

  test.each(['1'.repeat(400), `0.${'0'.repeat(400)}1`, `${'9'.repeat(400)}e5`])(
    'N04 a row with a number of 400 digits is dropped',
    async (text) => {
      const result = await readText(goodLogWith(`59.5,24.5,${text}`));
      expect(result.account).toMatchObject({ read: 21, used: 20 });
    },
  );
});
