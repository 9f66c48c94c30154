import { copyFileSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { zipSync } from 'fflate';
import { beforeAll, expect, test } from 'vitest';
import { parse } from 'yaml';
import { readCsvFile } from '../../src/formats/csv/csv-file.ts';
import { gpxOf, makeFolder, runProgram, WITHOUT_CASTS, write } from '../cli/run-program.ts';

const FORMATS = resolve(import.meta.dirname, '../../fixtures/formats');
/** Marks on the plane of the samples. */
const MARKS = [
  { name: 'W', lat: 60.1733148, lon: 25.2513024 },
  { name: 'M', lat: 60.1733211, lon: 25.2516627 },
  { name: 'E', lat: 60.1733274, lon: 25.252023 },
];
const DEPTHS = [9.6, 12, 14.4];
const AS_THEY_ARE = ['projected.csv', 'sounder.nmea', 'sheet.xlsx', 'archive.zip', 'points.geojson'];

/** Returns longitude, latitude and depth of a sample's soundings, converted by PROJ. */
function pointsOf(file: string): { lon: number; lat: number; depth: number }[] {
  const lines = readFileSync(join(FORMATS, 'lake-points.csv'), 'utf8').split('\n');
  return lines
    .filter((line) => line.startsWith(`${file},`))
    .map((line) => line.split(',').map(Number))
    .map(([, , , lon, lat, depth]) => ({ lon, lat, depth }));
}

/** Makes a folder of logs as an angler copies them from cards, phones and friends. */
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

test('check lists the faults of every log, each with the setting that repairs it, and reads logs without faults', () => {
  const { status, stdout } = run('check', ...LOGS);
  expect(status).toBe(1);
  expect(stdout).toMatch(/heights\.gpx: .*elevations below 0.*--ele-is-depth/);
  expect(stdout).toMatch(/swapped\.csv is .* latitude and longitude look swapped\./);
  expect(stdout).toMatch(/feet\.csv: .*--depth-unit m, ft or fm/);
  expect(stdout).toMatch(
    /projected\.csv: .*With --crs EPSG:32635 this position is \d+ ft from the nearest waypoint\./,
  );
  expect(stdout).toMatch(
    /semicolon\.csv: No column is recognized as latitude, longitude or depth: the columns are "Breite"/,
  );
  expect(stdout).toContain('run check --save with --depth-unit, --crs, --map');
  expect(stdout).toContain('sounder.nmea: 41 rows read, 41 used');
  expect(stdout).toContain('Skipped, because they are not logs: logs/photo.jpg');
  expect(kept()).toEqual([]);
});

test('a log with two faults has both listed', () => {
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

test('--save keeps the settings that each log needs, and no more, and the next run needs no option', async () => {
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
  const enriched = run('enrich', ...LOGS, '--table', 'table.csv', '--units', 'm', ...WITHOUT_CASTS);
  expect(enriched.status, enriched.stderr).toBe(0);
  const { rows } = await readCsvFile(join(folder, 'table.csv'));
  for (const [i, { values }] of rows.entries())
    expect(Math.abs(Number(values.depth_m) - DEPTHS[i])).toBeLessThan(0.1);
});

test('with --config the settings are added to the configuration, and replacing a value needs --force', () => {
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
  expect(other.stderr).toContain('already sets transducer-draft to 0');
});

/** Makes an archive of four logs: in feet, below the transducer, on a map grid, and without faults. */
function oddArchive(): string {
  const own = makeFolder();
  write(own, 'marks.gpx', gpxOf(MARKS));
  const text = (
    head: string,
    of: string,
    row: (point: { lat: number; lon: number; depth: number }) => string,
  ) => new TextEncoder().encode(`${head}\n${pointsOf(of).map(row).join('\n')}\n`);
  const inside = {
    'friday/feet.csv': text('lat,lon,depth', 'degrees.csv', (p) => `${p.lat},${p.lon},${p.depth / 0.3048}`),
    'friday/head.csv': text(
      'lat,lon,depth_below_transducer_m',
      'track.gpx',
      (p) => `${p.lat},${p.lon},${p.depth - 0.4}`,
    ),
    'friday/good.csv': text('lat,lon,depth_m', 'packed.csv.gz', (p) => `${p.lat},${p.lon},${p.depth}`),
    'projected.csv': readFileSync(join(FORMATS, 'lake/projected.csv')),
  };
  writeFileSync(join(own, 'card.zip'), zipSync(inside));
  return own;
}

test('a file inside an archive has settings of its own, beside the archive or in the configuration', async () => {
  const own = oddArchive();
  const runIn = (...args: string[]) => runProgram([...args, '--units', 'm'], { cwd: own });
  const logs = ['marks.gpx', '--soundings', 'card.zip'];
  const answers = ['--depth-unit', 'ft', '--crs', 'EPSG:3067', '--transducer-draft', '0.4'];
  const { status, stdout } = runIn('check', ...logs);
  expect(status).toBe(1);
  expect(stdout).toMatch(/Logs left out: 2\n/);
  expect(stdout).toMatch(/card\.zip\/friday\/feet\.csv: .*--depth-unit m, ft or fm/);
  expect(stdout).toMatch(/card\.zip\/projected\.csv: .*--crs/);
  const saved = runIn('check', ...logs, ...answers, '--save');
  expect(saved.status, saved.stderr).toBe(0);
  const kept = `logs:
  friday/head.csv:
    transducer-draft: "0.4"
  friday/feet.csv:
    depth-unit: ft
  projected.csv:
    crs: EPSG:3067
`;
  expect(parse(readFileSync(join(own, 'card.zip.yaml'), 'utf8'))).toEqual(parse(kept));
  write(own, 'lake.yaml', 'logs:\n  feet.csv: { depth-unit: ft }\n  "*.zip/proj*": { crs: "EPSG:3067" }\n');
  const depths = async (...args: string[]): Promise<number[]> => {
    const enriched = runIn('enrich', ...logs, '--table', 'table.csv', '--force', ...WITHOUT_CASTS, ...args);
    expect(enriched.status, enriched.stderr).toBe(0);
    const { rows } = await readCsvFile(join(own, 'table.csv'));
    return rows.map(({ values }) => Number(values.depth_m));
  };
  for (const [i, depth] of (await depths()).entries()) expect(Math.abs(depth - DEPTHS[i])).toBeLessThan(0.5);
  rmSync(join(own, 'card.zip.yaml'));
  // The archive has not changed, but its settings have, so its stored soundings must not be used.
  write(
    own,
    'lake.yaml',
    'logs:\n  "*.zip/*/feet.csv": { depth-unit: m }\n  "card.zip/projected.csv": { crs: "EPSG:3067" }\n',
  );
  const wrong = runIn('enrich', ...logs, '--config', 'lake.yaml', '--force', ...WITHOUT_CASTS);
  expect(wrong.stderr).toContain('the depths are in feet, elsewhere in meters');
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
