import { describe, expect, test } from 'vitest';
import { goodRows, readText } from './read-text.ts';

/** Returns a log of good rows under a header, with `tail` at the end of each row. */
const under = (header: string, tail = '', count = 20): string =>
  `${header}\n${goodRows(count)
    .map((row) => row + tail)
    .join('\n')}\n`;

describe('headers and units', () => {
  test.each([
    'lat,lon,depth_m',
    'Latitude,Longitude,Depth (m)',
    'LAT(deg),LNG(deg),DEPTH(m)',
    'lat_deg,long_deg,depth_m',
    'Position.Lat,Position.Lon,Water Depth [m]',
    'latitude_wgs84,longitude_wgs84,sounding_m',
  ])('H01 the columns of %s are recognized', async (header) => {
    const { rows } = await readText(under(header));
    expect(rows[0]).toMatchObject({ lat: 59.5, lon: 24.5, depth: 3.25 });
    expect(rows).toHaveLength(20);
  });

  test('H01 y,x,z are latitude, longitude and depth when all three exist and their values fit', async () => {
    const result = await readText(under('y,x,z'), { depthUnit: 'm', vertical: 'down' });
    expect(result.rows[0]).toMatchObject({ lat: 59.5, lon: 24.5, depth: 3.25 });
    expect(result.codes).toContain('x-y');
  });

  test('H01 y without x is not a position', async () => {
    const { refusal } = await readText(under('y,lon,depth_m'));
    expect(refusal?.code).toBe('soundings/header-unknown');
  });

  test('H01 x and y beyond the range of degrees are refused', async () => {
    const { refusal } = await readText('x,y,depth_m\n5045678.5,359876.1,3.2\n');
    expect(refusal?.code).toBe('soundings/projected');
  });

  test.each(['\uFEFF LAT :,"Lon",DEPTH_M', 'L.A.T,L O N,depth  m', '"LAT","LON","Depth, m"'])(
    'H02 case, spaces, quotes and punctuation of a header do not matter: %j',
    async (header) => {
      const { rows, refusal } = await readText(under(header));
      expect(refusal?.message).toBeUndefined();
      expect(rows).toHaveLength(20);
    },
  );

  test.each([
    ['below any number of comments', '# note\n'.repeat(60)],
    ['below a line sep= that names another delimiter', 'sep=;\n'],
  ])('H01 a header %s is found', async (_, before) => {
    const { rows, refusal } = await readText(before + under('lat,lon,depth_m'));
    expect(refusal?.message).toBeUndefined();
    expect(rows).toHaveLength(20);
  });

  test('H01 a column of elevations counts as depths when missing columns are listed', async () => {
    const { refusal } = await readText(under('lat,breite,elevation_m'));
    expect(refusal?.message).toMatch(/^No column is recognized as longitude: /);
  });

  test('H03 column names in another language are refused with a list of the columns, and --map maps them', async () => {
    const text = under('Breite,Länge,Tiefe_m');
    const { refusal } = await readText(text);
    expect(refusal).toMatchObject({
      code: 'soundings/header-unknown',
      message:
        'No column is recognized as latitude, longitude or depth: the columns are "Breite", "Länge" and "Tiefe_m". Say which columns they are with --map lat=NAME,lon=NAME,depth=NAME.',
    });
    const { rows } = await readText(text, { map: ['lat=Breite', 'lon=Länge', 'depth=Tiefe_m'] });
    expect(rows[0]).toMatchObject({ lat: 59.5, lon: 24.5, depth: 3.25 });
  });

  test('H03 a --map name that is not a column or not a role is refused', async () => {
    const text = under('Breite,Länge,Tiefe_m');
    const mapped = await readText(text, { map: ['lat=Breit', 'lon=Länge', 'depth=Tiefe_m'] });
    expect(mapped.refusal?.message).toContain('"Breit"');
    expect((await readText(text, { map: ['latitude=Breite'] })).refusal?.code).toBe('soundings/map');
  });

  test('H04 northing and easting are refused, because their map grid is unknown', async () => {
    const { refusal } = await readText('northing,easting,depth_m\n6593000.1,359876.1,3.2\n');
    expect(refusal?.code).toBe('soundings/projected');
    expect(refusal?.message).toContain('"northing", "easting"');
  });

  test('H05 two depth columns are refused with both names, unless mapped', async () => {
    const text = under('lat,lon,depth_raw,depth_corrected', ',9.5');
    const { refusal } = await readText(text, { depthUnit: 'm' });
    expect(refusal?.message).toContain('"depth_raw", "depth_corrected"');
    const { rows } = await readText(text, { depthUnit: 'm', map: ['depth=depth_corrected'] });
    expect(rows[0].depth).toBe(9.5);
  });

  test.each([
    ['depth_below_transducer', 'transducer'],
    ['environment.depth.belowTransducer', 'transducer'],
    ['depthBelowKeel', 'keel'],
    ['Depth below surface', 'surface'],
    ['depthbelowsurface', 'surface'],
    ['DBT', 'transducer'],
    ['DBK (m)', 'keel'],
    ['water depth', undefined],
    ['dpt', undefined],
  ])('H06 depths of %s are measured from %s', async (name, from) => {
    const { parts, rows } = await readText(under(`lat,lon,${name}`), { depthUnit: 'm' });
    expect(rows).toHaveLength(20);
    expect(parts[0].depthFrom).toBe(from);
  });

  test.each([
    ['depth_below_keel,depth_below_transducer,depth_below_surface', ',9.5,10.5', 10.5, 'surface'],
    ['depth_below_keel,depth_below_transducer,depth_below_surface', ',9.5,', 9.5, 'transducer'],
    ['depth_below_keel,depth_below_transducer', ',9.5', 9.5, 'transducer'],
    ['depth,depth_below_surface', ',9.5', 9.5, 'surface'],
    ['depth,transducer_depth', ',9.5', 3.25, undefined],
    ['depth,depth_offset', ',9.5', 3.25, undefined],
  ])(
    'H07 of the columns %s with %s at the end of each row, the depth from the best level is used',
    async (names, tail, depth, from) => {
      const result = await readText(under(`lat,lon,${names}`, tail), { depthUnit: 'm' });
      expect(result.refusal?.message).toBeUndefined();
      expect(result.rows[0].depth).toBe(depth);
      expect(result.parts[0].depthFrom).toBe(from);
    },
  );

  test('H07 a depth column that states no level is refused next to one from the transducer, with both names', async () => {
    const { refusal } = await readText(under('lat,lon,depth,depth_below_transducer', ',9.5'), {
      depthUnit: 'm',
    });
    expect(refusal?.message).toContain('"depth", "depth_below_transducer"');
  });

  test.each([
    ['depth_m', 1],
    ['depth(ft)', 0.3048],
    ['Depth [fm]', 1.8288],
    ['depthFeet', 0.3048],
    ['DEPTHFT', 0.3048],
    ['depth_cm', 0.01],
    ['Depth in fathoms', 1.8288],
  ])('H06 the unit in the name %s is used, and reported', async (name, factor) => {
    const result = await readText(under(`lat,lon,${name}`));
    expect(result.rows[0].depth).toBeCloseTo(3.25 * factor, 4);
    expect(result.codes).toContain('depth-unit');
  });

  test('H06 the unit in a translated name is used when the column is mapped', async () => {
    const { rows } = await readText(under('lat,lon,tiefe_cm'), { map: ['depth=tiefe_cm'] });
    expect(rows[0].depth).toBeCloseTo(0.0325, 4);
  });

  test('H07 a column of units is applied row by row, and an unknown unit drops its row', async () => {
    const units = ['ft', 'm', 'FM', 'Meters'];
    const lines = goodRows(20).map((row, i) => `${row},${i === 19 ? 'leagues' : units[i % 4]}`);
    const result = await readText(`lat,lon,depth,unit\n${lines.join('\n')}\n`);
    const first = result.rows.slice(0, 4).map((row) => row.depth);
    expect(first).toEqual([0.9906, 3.3, 6.1265, 3.4]);
    expect(result.account?.dropped).toEqual({ 'soundings/unit': 1 });
  });

  test('H07 a unit after the value is applied row by row', async () => {
    const lines = goodRows(20).map((row, i) => row + ['ft', ' m', ' fathoms', ' ft.'][i % 4]);
    const result = await readText(`lat,lon,depth\n${lines.join('\n')}\n`);
    expect(result.rows.slice(0, 4).map((row) => row.depth)).toEqual([0.9906, 3.3, 6.1265, 1.0363]);
  });

  test('H08 a log without any unit is refused, and --depth-unit supplies it', async () => {
    const { refusal } = await readText(under('lat,lon,depth'));
    expect(refusal).toMatchObject({
      code: 'soundings/depth-unit',
      message:
        'Column "depth" does not say whether its depths are in meters, feet or fathoms. Add --depth-unit m, ft or fm.',
    });
    expect((await readText(under('lat,lon,depth'), { depthUnit: 'fm' })).rows[0].depth).toBeCloseTo(
      5.9436,
      4,
    );
  });

  test('H08 --depth-unit does not override a column that states its unit', async () => {
    expect((await readText(under('lat,lon,depth_m'), { depthUnit: 'ft' })).rows[0].depth).toBe(3.25);
  });

  test('H09 units that change from row to row are used where each row states its own', async () => {
    const lines = [...goodRows(10).map((row) => `${row} m`), ...goodRows(10, 10).map((row) => `${row} ft`)];
    const { rows } = await readText(`lat,lon,depth\n${lines.join('\n')}\n`);
    expect(rows[9].depth).toBeCloseTo(3.7, 4);
    expect(rows[10].depth).toBeCloseTo(3.75 * 0.3048, 4);
  });

  test.each(['z_m', 'elevation (m)'])(
    'H10 a column %s that is nearly all negative is read as depth, with a warning',
    async (name) => {
      const text = under(`lat,lon,${name}`).replace(/,(\d+\.\d\d)\n/g, ',-$1\n');
      const result = await readText(text);
      expect(result.rows[0].depth).toBe(3.25);
      expect(result.codes).toContain('elevation');
    },
  );

  test('H10 z that is not nearly all negative is refused until --vertical gives its meaning', async () => {
    const text = under('lat,lon,z_m');
    expect((await readText(text)).refusal?.code).toBe('soundings/vertical');
    expect((await readText(text, { vertical: 'down' })).rows[0].depth).toBe(3.25);
    const up = under('lat,lon,depth_m').replace(/,(\d+\.\d\d)\n/g, ',-$1\n');
    expect((await readText(up, { vertical: 'up' })).rows[0].depth).toBe(3.25);
  });

  test('H11 hemisphere letters in separate columns give the sign', async () => {
    const text = `lat,n/s,lon,e/w,depth_m\n${'59.5,S,24.5,W,3.2\n'.repeat(5)}+59.6,N,24.5,E,3.2\n`;
    const { rows } = await readText(text);
    expect(rows[0]).toMatchObject({ lat: -59.5, lon: -24.5 });
    expect(rows.at(-1)).toMatchObject({ lat: 59.6, lon: 24.5 });
  });

  test('H11 a minus sign together with a hemisphere letter is refused', async () => {
    const { refusal } = await readText('lat,ns,lon,ew,depth_m\n-59.5,S,24.5,E,3.2\n');
    expect(refusal?.code).toBe('soundings/hemisphere');
  });

  test('H12 temperature is converted from its stated unit, and left out without one', async () => {
    const { rows } = await readText(under('lat,lon,depth_m,Water Temp (F)', ',68'));
    expect(rows[0].temperature).toBeCloseTo(20, 4);
    expect((await readText(under('lat,lon,depth_m,temp_c', ',18.5'))).rows[0].temperature).toBe(18.5);
    const silent = await readText(under('lat,lon,depth_m,temperature', ',68'));
    expect(silent.parts[0].temperature).toBeUndefined();
    expect(silent.codes).toContain('temperature-unit');
  });

  test('H12 Fahrenheit is also converted in a row that only the tolerant reader accepts', async () => {
    // The scanner of plain rows does not accept a hemisphere letter.
    const { rows } = await readText('lat,lon,depth_m,temp_f\n59.5,24.5,3.2,68\n59.6N,24.6,3.3,50\n');
    expect(rows.map(({ temperature }) => temperature)).toEqual([
      expect.closeTo(20, 4),
      expect.closeTo(10, 4),
    ]);
  });

  test('H12 speed and course columns are ignored', async () => {
    expect((await readText(under('lat,lon,depth_m,speed_kn,course', ',4.5,220'))).rows).toHaveLength(20);
  });
});
