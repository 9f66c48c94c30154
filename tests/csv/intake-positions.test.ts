import { describe, expect, test } from 'vitest';
import { goodLogWith, goodRows, readText } from './read-text.ts';

/** Reads a good log with one unusual row, and returns the result with that row's position. */
async function position(lat: string, lon: string, header = 'lat,lon,depth_m') {
  const quote = (text: string) => (/[",]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  const text = goodLogWith(`${quote(lat)},${quote(lon)},7.77`).replace('lat,lon,depth_m', header);
  const result = await readText(text);
  const row = result.rows.find((r) => r.depth === 7.77);
  return { ...result, at: row === undefined ? undefined : [row.lat, row.lon] };
}

describe('positions', () => {
  test.each([
    ['59.5', '24.5', 59.5, 24.5],
    ['+59.5', '+024.5', 59.5, 24.5],
    ['059.5', '-0', 59.5, 0],
    ['59.123456789012345678', '24.123456789012345678', 59.123456789012344, 24.123456789012344],
    ['0', '24.5', 0, 24.5],
  ])('P01 decimal degrees %s, %s are read to the last digit', async (lat, lon, atLat, atLon) => {
    expect((await position(lat, lon)).at?.map((value) => value + 0)).toEqual([atLat, atLon]);
  });

  test('P02 signs give the hemispheres', async () => {
    expect((await position('-59.5', '-24.5')).at).toEqual([-59.5, -24.5]);
  });

  test.each([
    ['59.5N', '24.5 E', 59.5, 24.5],
    ['S59.5', 'W 24.5', -59.5, -24.5],
    ['59.5° n', '24.5°w', 59.5, -24.5],
  ])('P03 letters next to the value (%s, %s) are read', async (lat, lon, atLat, atLon) => {
    expect((await position(lat, lon)).at).toEqual([atLat, atLon]);
  });

  test.each([
    `59°30'15.2"N`,
    `59º30’15.2”N`,
    `59˚30′15.2″ N`,
    `N 59° 30' 15.2"`,
    `59 30 15.2 N`,
    `59°30'15.2''N`,
    `+59°30'15.2"`,
  ])('P04 degrees, minutes and seconds (%s) are read', async (lat) => {
    expect((await position(lat, `24°30'0"E`)).at?.[0]).toBeCloseTo(59 + 30 / 60 + 15.2 / 3600, 12);
  });

  test.each(['59 30.253N', `59°30.253'`, `59° 30.253' N`, 'N59 30.253'])(
    'P05 decimal minutes (%s) are read',
    async (lat) => {
      expect((await position(lat, '24 30.000E')).at?.[0]).toBeCloseTo(59 + 30.253 / 60, 12);
    },
  );

  test('P06 degrees and minutes run together are read with a hemisphere column', async () => {
    const { rows } = await readText(`lat,ns,lon,ew,depth_m\n${'5930.253,N,02430.5,W,3.2\n'.repeat(3)}`);
    expect(rows[0].lat).toBeCloseTo(59 + 30.253 / 60, 12);
    expect(rows[0].lon).toBeCloseTo(-(24 + 30.5 / 60), 12);
  });

  test('P06 degrees and minutes run together without a hemisphere are refused, and the message says what they look like', async () => {
    const { refusal } = await readText('lat,lon,depth_m\n5930.253,02430.5,3.2\n');
    expect(refusal).toMatchObject({ code: 'soundings/packed', place: { line: 2 } });
    expect(refusal?.message).toContain('degrees and minutes run together');
  });

  test('P07 an ambiguous value is refused until --position-format gives its format', async () => {
    const text = 'lat,lon,depth_m\n59.5,0130.5,3.2\n';
    expect((await readText(text)).refusal?.code).toBe('soundings/packed-ambiguous');
    expect((await readText(text, { positionFormat: 'degrees' })).rows[0].lon).toBe(130.5);
    const packed = await readText('lat,lon,depth_m\n5930.0,0130.5,3.2\n', {
      positionFormat: 'packed-minutes',
    });
    expect(packed.rows[0].lat).toBe(59.5);
    expect(packed.rows[0].lon).toBeCloseTo(1 + 30.5 / 60, 12);
  });

  test.each(['59 60.0N', `59°30'60"N`, `59°75'00"`])(
    'P08 minutes or seconds of 60 and more (%s) drop the row',
    async (lat) => {
      expect((await position(lat, '24 30.0E')).account?.dropped).toEqual({ 'soundings/minutes': 1 });
    },
  );

  test('P09 positions scaled to whole numbers are refused, and read with --position-scale', async () => {
    const text = `lat,lon,depth_m\n${'595000000,245000000,3.2\n'.repeat(3)}`;
    const { refusal } = await readText(text);
    expect(refusal?.code).toBe('soundings/scaled');
    expect(refusal?.message).toContain('--position-scale 10000000');
    expect((await readText(text, { positionScale: 1e7 })).rows[0]).toMatchObject({ lat: 59.5, lon: 24.5 });
    const semicircles = await readText('lat,lon,depth_m\n709862650,292296385,3.2\n', {
      positionScale: 2 ** 31 / 180,
    });
    expect(semicircles.rows[0].lat).toBeCloseTo(59.5, 6);
  });

  test('P10 scientific notation is read, with a warning when it is coarse', async () => {
    const coarse = await position('5.95E+01', '2.45e1');
    expect(coarse.at).toEqual([59.5, 24.5]);
    expect(coarse.codes).toContain('coarse-position');
    expect((await position('5.9512345E+01', '2.4512345e1')).codes).not.toContain('coarse-position');
  });

  test.each([
    ['90.5', '24.5'],
    ['59.5', '-180.5'],
    ['59.5', '361'],
  ])('P11 a position out of range (%s, %s) drops the row', async (lat, lon) => {
    expect((await position(lat, lon)).account?.dropped).toEqual({ 'soundings/position-range': 1 });
  });

  test('P11 a file with positions out of range in more than 20 % of its rows is refused', async () => {
    const result = await readText(goodLogWith(...new Array(8).fill('95.5,24.5,3')));
    expect(result.refusal?.code).toBe('soundings/too-many-dropped');
    expect(result.refusal?.message).toContain(
      'The most frequent reason: latitude "95.5" is not between -90 and 90 degrees. To use the other rows as they are, add --max-dropped 0.29 (now 0.2).',
    );
  });

  test('P12 longitudes above 180 are wrapped, with a warning', async () => {
    const result = await position('59.5', '335.5');
    expect(result.at).toEqual([59.5, -24.5]);
    expect(result.codes).toContain('longitude-wrapped');
  });

  test('P13 latitudes that fit only as longitudes throughout are refused as swapped', async () => {
    const { refusal } = await readText(`lat,lon,depth_m\n${'-93.7,49.6,3.2\n'.repeat(5)}`);
    expect(refusal?.code).toBe('soundings/swapped');
  });

  test.each([
    ['0', '0'],
    ['0.0000', '-0.0000'],
    ['0.0000001', '0.0000001'],
  ])('P15 position %s, %s is not a fix', async (lat, lon) => {
    expect((await position(lat, lon)).account?.dropped).toEqual({ 'soundings/no-fix': 1 });
  });

  test('P15 latitude 0 with a real longitude is kept', async () => {
    expect((await position('0.0000', '24.5')).at).toEqual([0, 24.5]);
  });

  test.each(['', '---', 'NaN', 'nan', 'null', 'N/A', '-9999', '9999.9', 'Inf', '-inf'])(
    'P16 %j as a position means no fix, and is never read as 0',
    async (text) => {
      expect((await position(text, '24.5')).account?.dropped).toEqual({ 'soundings/no-position': 1 });
      expect((await position('59.5', text)).account?.dropped).toEqual({ 'soundings/no-position': 1 });
    },
  );

  test('P16 --sentinels gives more values that mean no depth or no position', async () => {
    const result = await readText(goodLogWith('77.7,77.7,3.2', '59.5,24.5,99.9'), {
      sentinels: ['77.7', '99.9'],
    });
    expect(result.account?.dropped).toEqual({ 'soundings/no-depth': 1, 'soundings/no-position': 1 });
  });

  test('P22 latitudes beyond 89 degrees are used, with a warning', async () => {
    const result = await position('89.9', '24.5');
    expect(result.at).toEqual([89.9, 24.5]);
    expect(result.codes).toContain('pole');
  });

  test('P23 positions with few decimals everywhere give a warning with their resolution', async () => {
    const result = await readText(`lat,lon,depth_m\n${'59.512,24.5,3.2\n59.51,24.501,3.3\n'.repeat(4)}`);
    expect(result.diagnostics.find((d) => d.code === 'soundings/resolution')?.message).toContain(
      'off by about 111\u00a0m',
    );
    expect((await readText(`lat,lon,depth_m\n${goodRows(5).join('\n')}\n`)).codes).not.toContain(
      'resolution',
    );
  });

  test('P24 rows that repeat time, place and depth of an earlier row are used once', async () => {
    const lines = goodRows(10).map((row, i) => `${row},2024-05-01T10:00:${String(10 + i)}Z`);
    const text = `lat,lon,depth_m,time\n${[...lines, lines[9], ...lines.slice(4)].join('\n')}\n`;
    const result = await readText(text);
    expect(result.account).toEqual({ read: 17, used: 10, dropped: { 'soundings/duplicate-row': 7 } });
  });

  test('P24 rows without times are never taken for repeats', async () => {
    expect((await readText(goodLogWith(...goodRows(1), ...goodRows(1)))).rows).toHaveLength(22);
  });

  test('P25 two depths at one time and place are both kept, with a warning, unless a channel is chosen', async () => {
    const lines = goodRows(10).flatMap((row, i) => [
      `${row},2024-05-01T10:00:${String(10 + i)}Z,200`,
      `${row.replace(/[\d.]+$/, '9.5')},2024-05-01T10:00:${String(10 + i)}Z,83`,
    ]);
    const text = `lat,lon,depth_m,time,frequency\n${lines.join('\n')}\n`;
    const both = await readText(text);
    expect(both.rows).toHaveLength(20);
    expect(both.diagnostics.find((d) => d.code === 'soundings/two-depths')).toMatchObject({ count: 10 });
    const one = await readText(text, { channel: 'frequency=200' });
    expect(one.account).toEqual({ read: 20, used: 10, dropped: { 'soundings/channel': 10 } });
    expect(one.rows.every((row) => row.depth < 9)).toBe(true);
  });

  test('P26 a datum other than WGS 84 is refused, unless --datum states that it agrees', async () => {
    const text = (datum: string) =>
      `lat,lon,depth_m,datum\n${goodRows(5)
        .map((row) => `${row},${datum}`)
        .join('\n')}\n`;
    expect((await readText(text('WGS-84'))).rows).toHaveLength(5);
    const { refusal } = await readText(text('NAD27'));
    expect(refusal).toMatchObject({ code: 'soundings/datum', place: { line: 2 } });
    expect((await readText(text('NAD83'), { datum: 'NAD83' })).rows).toHaveLength(5);
  });

  test.each(['٥٩.٥', '５９.５'])('P27 digits of another script (%s) drop the row', async (lat) => {
    expect((await position(lat, '24.5')).account?.dropped).toEqual({ 'soundings/digits': 1 });
  });
});
