import { cpSync, existsSync, mkdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { area, bearing, distance, length } from '@turf/turf';
import type { Feature, FeatureCollection, LineString, MultiPolygon, Point } from 'geojson';
import { fromArrayBuffer } from 'geotiff';
import proj4 from 'proj4';
import { beforeAll, describe, expect, test } from 'vitest';
import { readCsvFile } from '../../src/formats/csv/csv-file.ts';
import { gpxOf, makeFolder, runProgram, write } from '../cli/run-program.ts';

const LAKE = resolve(import.meta.dirname, '../../fixtures/formats/lake');
/** A plane that deepens by 0.12 m per meter toward grid east of EPSG:3067 and is 12 m deep at this easting. */
const [EAST, GRADIENT, MIDDLE] = [403_000, 0.12, 12];
const ZONE = {
  type: 'Feature',
  properties: { rule: 'slow', speed: '5mph', name: 'bay' },
  geometry: {
    type: 'Polygon',
    coordinates: [
      [
        [25.25, 60.172],
        [25.251, 60.172],
        [25.251, 60.173],
        [25.25, 60.173],
        [25.25, 60.172],
      ],
    ],
  },
};

let folder: string;
const args = [
  'enrich',
  'marks.gpx',
  '--soundings',
  'logs',
  '--layers',
  'layers',
  '--zones',
  'zones.geojson',
  '--units',
  'm',
  '--isobaths',
  '0.5m',
  '--table',
  'table.csv',
];
beforeAll(() => {
  folder = makeFolder();
  mkdirSync(join(folder, 'logs'));
  const usual = [
    'degrees.csv',
    'track.gpx',
    'sounder.nmea',
    'points.geojson',
    'packed.csv.gz',
    'archive.zip',
    'sheet.xlsx',
    'points.shp',
    'points.dbf',
    'points.prj',
  ];
  for (const name of usual) cpSync(join(LAKE, name), join(folder, 'logs', name));
  const marks = [
    { name: 'W', lat: 60.1733148, lon: 25.2513024 },
    { name: 'M', lat: 60.1733211, lon: 25.2516627, comment: 'brush' },
  ];
  write(folder, 'marks.gpx', gpxOf(marks));
  write(folder, 'zones.geojson', JSON.stringify({ type: 'FeatureCollection', features: [ZONE] }));
  const { status, stderr } = runProgram(args, { cwd: folder });
  expect(status, stderr).toBe(0);
});

function layer<G extends Point | LineString | MultiPolygon>(
  name: string,
  hasIds = true,
): Feature<G, Record<string, never>>[] {
  const text = readFileSync(join(folder, 'layers', `${name}.geojson`), 'utf8');
  const { type, features } = JSON.parse(text) as FeatureCollection<G, Record<string, never>>;
  expect(type).toBe('FeatureCollection');
  expect(new Set(features.map(({ geometry }) => geometry.type)).size).toBe(1);
  expect(new Set(features.map(({ id }) => id)).size).toBe(features.length);
  if (hasIds) for (const { id, properties } of features) expect(properties.id).toBe(id);
  return features;
}

/** Returns the depth of the plane at a position, m; EPSG:3067 is UTM zone 35. */
const planeAt = (lon: number, lat: number): number =>
  MIDDLE + GRADIENT * (proj4('+proj=utm +zone=35 +ellps=GRS80', [lon, lat])[0] - EAST);

describe('layers', () => {
  test('marks, boats, casts and landings are linked by ids, and agree with the table', async () => {
    const { rows } = await readCsvFile(join(folder, 'table.csv'));
    const [marks, boats, casts, landings] = [
      layer<Point>('marks'),
      layer<Point>('boats'),
      layer<LineString>('casts'),
      layer<Point>('landings'),
    ];
    expect(marks.map(({ properties }) => properties.name)).toEqual(['W', 'M']);
    expect(marks[1].properties.comment).toBe('brush');
    expect(casts.length).toBeGreaterThan(0);
    for (const [i, { values }] of rows.entries()) {
      expect(marks[i].properties.slope_deg).toBe(Number(values.slope_deg));
      for (const side of ['downslope', 'upslope']) {
        const id = `${i + 1}-${side}`;
        const found = casts.find((each) => each.id === id);
        expect(found === undefined).toBe((values[`${side}_lat`] ?? '') === '');
        if (found === undefined) continue;
        const cast = found;
        const [boat, landing] = [cast.properties.boat, cast.properties.landing].map(
          (end, at) => [boats, landings][at].find((each) => each.id === end)!,
        );
        expect(cast.properties.mark).toBe(marks[i].id);
        expect(cast.geometry.coordinates).toEqual([boat.geometry.coordinates, landing.geometry.coordinates]);
        // Turf measures on a sphere, which is accurate to 0.6 %.
        expect(length(cast, { units: 'meters' }) / Number(values[`${side}_cast_m`])).toBeCloseTo(1, 1);
        const toward = (bearing(boat, landing) + 360) % 360;
        expect(Math.abs(toward - Number(values[`${side}_cast_true_deg`]))).toBeLessThan(1.5);
        const place = [Number(values[`${side}_lon`]), Number(values[`${side}_lat`])];
        expect(distance(boat, place, { units: 'meters' })).toBeLessThan(0.02);
      }
    }
  });

  test('isobaths are where the plane has their depth', () => {
    const isobaths = layer<LineString>('isobaths', false);
    expect(isobaths.length).toBeGreaterThan(5);
    for (const { geometry, properties } of isobaths) {
      expect(Math.abs((properties.depth_m / 0.5) % 1)).toBe(0);
      for (const [lon, lat] of geometry.coordinates)
        expect(Math.abs(planeAt(lon, lat) - properties.depth_m)).toBeLessThan(0.15);
    }
  });

  test('the bottom grid has the depth of the plane with its uncertainty, the same in both formats', async () => {
    const bytes = readFileSync(join(folder, 'layers/depth.tif'));
    const image = await (await fromArrayBuffer(Uint8Array.from(bytes).buffer)).getImage();
    expect(image.getGeoKeys()).toMatchObject({
      GTModelTypeGeoKey: 2,
      GeographicTypeGeoKey: 4326,
      VerticalUnitsGeoKey: 9001,
    });
    expect(await image.fileDirectory.loadValue('ImageDescription')).toContain('band 1: depth, m; band 2: ');
    const [depth, sd] = (await image.readRasters()) as unknown as Float32Array[];
    const [west, north] = image.getOrigin();
    const [cell] = image.getResolution();
    let [cells, within] = [0, 0];
    for (let i = 0; i < depth.length; i++) {
      if (depth[i] === -9999) continue;
      cells++;
      const [column, row] = [i % image.getWidth(), Math.floor(i / image.getWidth())];
      const truth = planeAt(west + (column + 0.5) * cell, north - (row + 0.5) * cell);
      if (Math.abs(depth[i] - truth) <= 2 * sd[i] + 0.01) within++;
      expect(sd[i]).toBeGreaterThan(0);
    }
    expect(cells).toBeGreaterThan(500);
    expect(within / cells).toBeGreaterThan(0.95);
    for (const [name, values] of [
      ['depth', depth],
      ['depth-sd', sd],
    ] as const) {
      const text = readFileSync(join(folder, `layers/${name}.asc`), 'utf8')
        .trim()
        .split('\n');
      expect(text[0]).toBe(`ncols ${image.getWidth()}`);
      expect(Number(text[2].split(' ')[1])).toBeCloseTo(west + cell / 2, 8);
      const numbers = text.slice(6).join(' ').split(' ').map(Number);
      expect(numbers.length).toBe(values.length);
      expect(numbers.every((value, i) => Math.abs(value - values[i]) <= 0.0051)).toBe(true);
    }
  });

  test('soundings have their depths, and zones are polygons with their rules', async () => {
    const soundings = layer<Point>('soundings');
    expect(soundings.length).toBeGreaterThan(150);
    for (const { geometry, properties } of soundings) {
      const [lon, lat] = geometry.coordinates;
      expect(Math.abs(planeAt(lon, lat) - properties.depth_m)).toBeLessThan(0.05);
    }
    const [zone] = layer<MultiPolygon>('zones');
    expect(zone.properties).toMatchObject({ name: 'bay', rule: 'slow', speed_m_s: 5 * 0.44704 });
    expect(area(zone)).toBeCloseTo(area(ZONE as never), 3);
  });

  test('existing layers are refused before any work, and are not read as soundings by the next run', () => {
    const again = runProgram(
      [...args, '--out', 'other.gpx'].filter((word) => !/table/.test(word)),
      { cwd: folder },
    );
    expect(again.status).toBe(1);
    expect(again.stderr).toContain('layers/marks.geojson');
    const { stdout, stderr } = runProgram(['check', '--soundings', '.'], { cwd: folder });
    expect(stdout, stderr).toContain('Logs:');
    expect(stdout).not.toContain('layers/');
  });
});

describe('a writer plugin of the user', () => {
  const writer = (write: string): string =>
    `export const p = { name: 'count-file', summary: 'Counts.', stage: 'writer', requires: [], options: { out: { kind: 'text', isPath: true, help: 'Folder.' } }, write: ${write} };\n`;

  test('gets the finished run, and its files are written below its folder', () => {
    write(
      folder,
      'p.js',
      writer(
        "({ waypoints, survey, fields }) => [{ name: 'a/counts.txt', content: [waypoints.length, survey.count > 0, fields.length > 10].join(' ') }]",
      ),
    );
    const options = ['enrich', 'marks.gpx', '--soundings', 'logs', '--plugin', './p.js', '--force'];
    const { status, stderr } = runProgram([...options, '--count-file.out', 'counts'], { cwd: folder });
    expect(status, stderr).toBe(0);
    expect(readFileSync(join(folder, 'counts/a/counts.txt'), 'utf8')).toBe('2 true true');
    expect(runProgram(options, { cwd: folder }).stderr).not.toContain('counts.txt');
  });

  test.each([
    ["() => [{ name: '../up.txt', content: 'x' }]", 'a file named "../up.txt"'],
    ["() => [{ name: 'a.txt', content: 5 }]", 'a number as content of "a.txt" instead of text or bytes'],
    ['() => 7', 'returned a number instead of a list of files'],
    ["() => { throw new Error('no ink'); }", 'failed (no ink)'],
  ])('that makes %s is refused by name, and nothing is written', (source, words) => {
    write(folder, 'q.js', writer(source));
    const { status, stderr } = runProgram(
      [
        'enrich',
        'marks.gpx',
        '--soundings',
        'logs',
        '--plugin',
        './q.js',
        '--count-file.out',
        'none',
        '--out',
        'new.gpx',
      ],
      { cwd: folder },
    );
    expect(status).toBe(1);
    expect(stderr).toContain('Plugin "count-file"');
    expect(stderr).toContain(words);
    expect(existsSync(join(folder, 'new.gpx'))).toBe(false);
  });

  test('without an option for its folder is refused when it is loaded', () => {
    write(folder, 'r.js', writer('() => []').replace('out:', 'folder:'));
    const { status, stderr } = runProgram(['plugins', '--plugin', './r.js'], { cwd: folder });
    expect(status).toBe(2);
    expect(stderr).toContain('it has no option "out", but needs one with kind "text" and isPath true');
  });
});
