import { copyFileSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { readCsvFile } from '../../src/formats/csv/csv-file.ts';
import { gpxOf, makeFolder, runProgram, write } from '../cli/run-program.ts';

const FORMATS = resolve(import.meta.dirname, '../../fixtures/formats');
/** Places on the plane of the samples, and its depth there. */
const MARKS = [
  { name: 'W', lat: 60.1733148, lon: 25.2513024 },
  { name: 'M', lat: 60.1733211, lon: 25.2516627 },
  { name: 'E', lat: 60.1733274, lon: 25.252023 },
];
const DEPTHS = [9.6, 12, 14.4];
const AS_THEY_ARE = ['projected.csv', 'sounder.nmea', 'sheet.xlsx', 'archive.zip', 'points.geojson'];

/** Longitude, latitude and depth of a sample's soundings, by PROJ. */
function pointsOf(file: string): { lon: number; lat: number; depth: number }[] {
  const lines = readFileSync(join(FORMATS, 'lake-points.csv'), 'utf8').split('\n');
  return lines
    .filter((line) => line.startsWith(`${file},`))
    .map((line) => line.split(',').map(Number))
    .map(([, , , lon, lat, depth]) => ({ lon, lat, depth }));
}

/** A folder into which an angler copies files from cards, phones and friends. */
function oddFolder(): string {
  const folder = makeFolder();
  const logs = join(folder, 'logs');
  mkdirSync(logs);
  write(folder, 'marks.gpx', gpxOf(MARKS));
  for (const name of AS_THEY_ARE) copyFileSync(join(FORMATS, 'lake', name), join(logs, name));
  const table = (
    name: string,
    head: string,
    of: string,
    row: (point: (typeof points)[0]) => string,
  ): void => {
    write(logs, name, `${head}\n${pointsOf(of).map(row).join('\n')}\n`);
  };
  const points = pointsOf('track.gpx');
  table(
    'feet.csv',
    'lat,lon,depth',
    'degrees.csv',
    ({ lat, lon, depth }) => `${lat},${lon},${depth / 0.3048}`,
  );
  table(
    'swapped.csv',
    'latitude,longitude,depth_m',
    'packed.csv.gz',
    ({ lat, lon, depth }) => `${lon},${lat},${depth}`,
  );
  table('semicolon.csv', 'Breite;Laenge;Tiefe (m)', 'points.shp', ({ lat, lon, depth }) =>
    `${lat};${lon};${depth}`.replaceAll('.', ','),
  );
  const track = points.map(
    ({ lat, lon, depth }) => `<trkpt lat="${lat}" lon="${lon}"><ele>${-depth}</ele></trkpt>`,
  );
  write(
    logs,
    'heights.gpx',
    gpxOf([]).replace('</gpx>', `<trk><trkseg>${track.join('\n')}</trkseg></trk></gpx>`),
  );
  writeFileSync(
    join(logs, 'photo.jpg'),
    Uint8Array.of(0xff, 0xd8, 0xff, 0xe0, 0, 16, 0x4a, 0x46, 0x49, 0x46),
  );
  return folder;
}

let folder: string;
const run = (...args: string[]) => runProgram(args, { cwd: folder });
const LOGS = ['marks.gpx', '--soundings', 'logs'];
const ANSWERS = [
  '--depth-unit',
  'ft',
  '--crs',
  'EPSG:3067',
  '--map',
  'lat=Breite,lon=Laenge,depth=Tiefe (m)',
];
const kept = (): string[] => readdirSync(join(folder, 'logs')).filter((name) => name.endsWith('.yaml'));
const keptOf = (log: string): string => readFileSync(join(folder, `logs/${log}.yaml`), 'utf8');
beforeAll(() => {
  folder = oddFolder();
});

test('check lists the faults of every log, each with the setting that repairs it, and reads the others', () => {
  const { status, stdout } = run('check', ...LOGS);
  expect(status).toBe(1);
  expect(stdout).toMatch(/heights\.gpx: .*elevations below 0.*--ele-is-depth/);
  expect(stdout).toMatch(/swapped\.csv is .* Latitude and longitude swapped\?/);
  expect(stdout).toMatch(/feet\.csv: .*--depth-unit m, ft or fm/);
  expect(stdout).toMatch(/projected\.csv: .*EPSG:32635 would put them \d+ ft from the nearest waypoint/);
  expect(stdout).toMatch(/semicolon\.csv: No column for lat, lon, depth among "Breite"/);
  expect(stdout).toContain('pass --depth-unit, --crs, --map to check with --save');
  expect(stdout).toContain('sounder.nmea: 41 rows read, 41 used');
  expect(stdout).toContain('Skipped, because they are not logs: logs/photo.jpg');
  expect(kept()).toEqual([]);
});

test('all faults of a log are listed, even those after the first', () => {
  const rows = pointsOf('degrees.csv').map(
    ({ lat, lon, depth }, i) => `${lat},${lon},${depth},0${1 + (i % 9)}/05/2025`,
  );
  const own = makeFolder();
  write(own, 'log.csv', `lat,lon,depth,date\n${rows.join('\n')}\n`);
  const { stdout } = runProgram(['check', '--soundings', 'log.csv', '--json'], { cwd: own });
  expect(JSON.parse(stdout).faults).toMatchObject([
    { file: 'log.csv', faults: [{ setting: 'depth-unit' }, { setting: 'date-order' }] },
  ]);
});

test('--save keeps the settings that each log needs, and no more; the next run needs no option', async () => {
  const { status, stdout, stderr } = run('check', ...LOGS, ...ANSWERS, '--save');
  expect(status, stderr).toBe(0);
  expect(stdout).toContain('Waypoints: 3, 3 well covered');
  expect(kept().map((name) => name.replace('.yaml', ''))).toEqual([
    'feet.csv',
    'heights.gpx',
    'projected.csv',
    'semicolon.csv',
    'swapped.csv',
  ]);
  expect(keptOf('feet.csv')).toBe('depth-unit: ft\n');
  expect(keptOf('swapped.csv')).toBe('map: lat=longitude,lon=latitude\n');
  const enriched = run('enrich', ...LOGS, '--table', 'table.csv', '--units', 'm');
  expect(enriched.status, enriched.stderr).toBe(0);
  const { rows } = await readCsvFile(join(folder, 'table.csv'));
  for (const [i, { values }] of rows.entries())
    expect(Math.abs(Number(values.depth_m) - DEPTHS[i])).toBeLessThan(0.1);
});

test('with --config they are added to the configuration; to replace a different value needs --force', () => {
  folder = oddFolder();
  write(folder, 'lake.yaml', '# our lake\nunits: m\nlogs:\n  "*.asc": { depth-unit: m } # the grid\n');
  const config = ['--config', 'lake.yaml'];
  const first = run('check', ...LOGS, ...config, ...ANSWERS, '--transducer-draft', '0', '--save');
  expect(first.status, first.stderr).toBe(0);
  expect(kept()).toEqual([]);
  const text = readFileSync(join(folder, 'lake.yaml'), 'utf8');
  expect(text).toMatch(/^# our lake\nunits: m\nlogs:\n.*# the grid/);
  expect(text).toMatch(/feet\.csv:\n {4}depth-unit: ft\n {4}transducer-draft: "0"/);
  expect(run('check', ...LOGS, ...config).status).toBe(0);
  const other = run('check', ...LOGS, ...config, '--transducer-draft', '1', '--save');
  expect(other.status).toBe(2);
  expect(other.stderr).toContain('transducer-draft is 0 there already');
});

test('options of log plugins may differ from log to log', () => {
  const own = makeFolder();
  const rows = (at: number) =>
    Array.from(
      { length: 40 },
      (_, i) => `${45 + i * 3e-5},${-93 + at},10.0,2025-05-01T10:00:${10 + (i % 50)}Z`,
    ).join('\n');
  for (const [name, at] of [
    ['a.csv', 0],
    ['b.csv', 1e-3],
  ] as const)
    write(own, name, `lat,lon,depth_m,time\n${rows(at)}\n`);
  write(own, 'b.csv.yaml', 'transducer-draft: 2\n');
  for (const workers of ['1', '2']) {
    const args = ['check', '--soundings', 'a.csv', 'b.csv', '--units', 'm', '--workers', workers];
    expect(runProgram(args, { cwd: own }).stdout).toContain('10.0 m to 12.0 m');
  }
});
