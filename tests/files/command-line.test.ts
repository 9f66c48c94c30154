import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { closeSync, openSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { isDownslopeOutput } from '../../src/files/index.ts';
import { gpxOf, makeFolder, PROGRAM, runProgram, write } from '../cli/run-program.ts';

/** Returns a log of parallel passes over a cone-shaped hump. */
function humpLog(): string {
  const rows = ['lat,lon,depth_m'];
  for (let pass = -6; pass <= 6; pass++) {
    for (let i = -40; i <= 40; i++) {
      const [east, north] = [i * 2, pass * 8];
      const depth = 3 + Math.hypot(east * 0.6, north) * 0.08;
      rows.push(
        `${(45 + north / 111_195).toFixed(7)},${(-93 + east / 78_627).toFixed(7)},${depth.toFixed(2)}`,
      );
    }
  }
  return `${rows.join('\n')}\n`;
}

const FIRST = gpxOf([
  { name: 'Hump edge', lat: 45.0002, lon: -93.0003, comment: 'fish 14-19 ft' },
  { name: 'East side', lat: 45.0001, lon: -92.9996 },
]);
const SECOND = gpxOf([
  { name: 'HUMP EDGE', lat: 45.00021, lon: -93.0003 },
  { name: 'South', lat: 44.9996, lon: -93.0001 },
]);

let folder: string;
beforeAll(() => {
  folder = makeFolder();
  write(folder, 'log.csv', humpLog());
  write(folder, 'a.gpx', FIRST);
  write(folder, 'b.gpx', SECOND);
});
const enrich = (args: readonly string[], options: Parameters<typeof runProgram>[1] = {}) =>
  runProgram(
    ['enrich', ...args, '--soundings', 'log.csv', '--quiet', '--without', 'structure,lake-place,next-angles'],
    { cwd: folder, ...options },
  );
const content = (name: string): string => readFileSync(join(folder, name), 'utf8');

test('F19: standard input to standard output is the same as file to file, and a second run changes nothing', () => {
  expect(enrich(['a.gpx', '--out', 'once.gpx']).status).toBe(0);
  const piped = enrich(['-'], { input: FIRST });
  expect(piped.stdout).toBe(content('once.gpx'));
  expect(piped.stdout).toContain('<name>Hump edge D</name>');
  expect(enrich(['-'], { input: piped.stdout }).stdout).toBe(piped.stdout);
  expect(content('a.gpx')).toBe(FIRST);
});

test('F21, F22: language and time zone of the machine do not change a byte', () => {
  const enriched = (env?: NodeJS.ProcessEnv): string =>
    enrich(['-', '--date', '2026-06-01'], { input: FIRST, env }).stdout;
  const plain = enriched();
  for (const env of [
    { LANG: 'tr_TR.UTF-8', TZ: 'Pacific/Auckland' },
    { LC_ALL: 'de_DE.UTF-8', TZ: 'America/St_Johns' },
  ])
    expect(enriched(env)).toBe(plain);
});

test('F07, F10: in place keeps a backup of the original; an existing output is refused before any work', () => {
  write(folder, 'own.gpx', FIRST);
  const refused = enrich(['own.gpx', '--out', './own.gpx', '--force']);
  expect(refused.status).toBe(1);
  expect(refused.stderr).toContain('file/is-input');
  expect(content('own.gpx')).toBe(FIRST);
  expect(enrich(['own.gpx', '--in-place']).status).toBe(0);
  expect(content('own.gpx.bak')).toBe(FIRST);
  expect(content('own.gpx')).toContain('<name>Hump edge D</name>');
  write(folder, 'there.gpx', 'something else');
  const existing = enrich(['a.gpx', '--out', 'there.gpx']);
  expect([existing.status, content('there.gpx')]).toEqual([1, 'something else']);
});

test('F07: only one of --out and --in-place applies, and the command line overrides the configuration', () => {
  write(folder, 'own-too.gpx', FIRST);
  const both = enrich(['own-too.gpx', '--in-place', '--out', 'elsewhere.gpx']);
  expect([both.status, content('own-too.gpx')]).toEqual([2, FIRST]);
  expect(both.stderr).toContain('--out');
  write(folder, 'in-place.yaml', 'in-place: true\n');
  expect(enrich(['own-too.gpx', '--config', 'in-place.yaml', '--out', 'elsewhere.gpx']).status).toBe(0);
  expect([content('own-too.gpx'), content('elsewhere.gpx').includes('Hump edge D')]).toEqual([FIRST, true]);
});

test('F07: no output overwrites a lure box or the configuration', () => {
  const box = write(folder, 'box.csv', 'name,label_ft\n14 ft diver,14\n');
  write(folder, 'set.yaml', 'lures: box.csv\n');
  for (const target of ['box.csv', 'set.yaml']) {
    const { status, stderr } = enrich(['a.gpx', '--config', 'set.yaml', '--table', target, '--force']);
    expect(status).toBe(1);
    expect(stderr).toContain('file/is-input');
  }
  expect(readFileSync(box, 'utf8')).toContain('14 ft diver');
});

test('F17: files are written even if nobody reads standard output or standard error', async () => {
  const args = ['enrich', 'a.gpx', '--soundings', 'log.csv', '--json', '--out', '-', '--table', 'unread.csv'];
  const program = spawn(process.execPath, [PROGRAM, ...args], { cwd: folder });
  program.stdout.destroy();
  program.stderr.destroy();
  const [status] = await once(program, 'exit');
  expect(status).toBe(0);
  expect(content('unread.csv')).toContain('Hump edge');
});

test.skipIf(process.platform !== 'linux').each([
  ['a list of plugins', ['plugins']],
  ['an enriched file', ['enrich', 'a.gpx', '--soundings', 'log.csv', '--quiet', '--out', '-']],
])('F03: writing %s to a full standard output gives one message', (_, args) => {
  const full = openSync('/dev/full', 'w');
  const { status, stderr } = spawnSync(process.execPath, [PROGRAM, ...args], {
    cwd: folder,
    encoding: 'utf8',
    stdio: ['ignore', full, 'pipe'],
  });
  closeSync(full);
  expect(status).toBe(1);
  expect(stderr.split('\n').filter((line) => /(^|: )error /.test(line))).toEqual([
    expect.stringMatching(/^standard output: error file\/write: .*the disk is full/),
  ]);
  expect(stderr).not.toContain('    at ');
});

test('a split file whose second part already exists is refused as a whole', () => {
  write(folder, 'part-2.gpx', 'something else');
  const refused = enrich(['a.gpx', '--out', 'part.gpx', '--max-waypoints', '3']);
  expect(refused.status).toBe(1);
  expect(readdirSync(folder).filter((name) => name.startsWith('part'))).toEqual(['part-2.gpx']);
  expect(content('part-2.gpx')).toBe('something else');
  expect(enrich(['a.gpx', '--out', 'part.gpx', '--max-waypoints', '3', '--force']).status).toBe(0);
  expect(readdirSync(folder).filter((name) => name.startsWith('part'))).toEqual(['part-1.gpx', 'part-2.gpx']);
});

describe('--merge', () => {
  test('puts all marks into one file and reports those close together', () => {
    const { status, stderr } = enrich(['a.gpx', 'b.gpx', '--merge', '--out', 'both.gpx']);
    expect(status).toBe(0);
    expect(stderr).toContain('gpx/near-duplicate');
    for (const name of ['Hump edge', 'East side', 'HUMP EDGE', 'South'])
      expect(content('both.gpx')).toContain(`<name>${name}</name>`);
  });
  test('with --join joins marks of the same name, and reports which', () => {
    const { status, stderr } = enrich(['a.gpx', 'b.gpx', '--merge', '--join', '5m', '--out', 'joined.gpx']);
    expect(status).toBe(0);
    expect(stderr).toContain('b.gpx:3: waypoint "HUMP EDGE": note gpx/joined');
    expect(content('joined.gpx')).not.toContain('HUMP EDGE');
  });
});

test('--geojson writes marks, boat positions, landings and casts', () => {
  expect(enrich(['a.gpx', '--out', 'map.gpx', '--geojson', 'map.geojson', '--units', 'm']).status).toBe(0);
  const { features } = JSON.parse(content('map.geojson')) as {
    features: { properties: Record<string, unknown> }[];
  };
  expect(features.filter(({ properties }) => properties.kind === 'waypoint')).toHaveLength(2);
  const cast = features.find(
    ({ properties }) =>
      properties.kind === 'cast' && properties.of === 'Hump edge' && properties.side === 'downslope',
  );
  expect(cast?.properties).toMatchObject({
    lure: expect.stringContaining('ft diver'),
    depth_m: expect.any(Number),
    cast_true_deg: expect.any(Number),
  });
});

test('a file of --geojson is no log when it is found in a folder of logs', () => {
  expect(enrich(['a.gpx', '--out', 'beside.gpx', '--geojson', 'logs/map.geojson']).status).toBe(0);
  expect(isDownslopeOutput(join(folder, 'logs/map.geojson'))).toBe(true);
});
