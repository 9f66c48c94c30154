import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

const MARKS = gpxOf([{ name: 'A1', lat: 40, lon: -90 }]);
const LOG = 'lat,lon,depth_m\n40.0000,-90.0000,5.0\n40.0001,-90.0000,5.1\n40.0002,-90.0000,5.2\n';

/** Returns the error lines of standard error. */
const errorsOf = (stderr: string): string[] => stderr.split('\n').filter((line) => /(^|: )error /.test(line));

function folderWith(files: Readonly<Record<string, string>>): string {
  const folder = makeFolder();
  for (const [name, text] of Object.entries(files)) write(folder, name, text);
  return folder;
}

describe('a bad command line or input gives one clear message and its exit status, and writes nothing', () => {
  test.each([
    ['a missing waypoint file', ['enrich', 'nothing.gpx'], {}, 1, 'nothing.gpx: error input/missing'],
    [
      'a missing log',
      ['enrich', 'marks.gpx', '--soundings', 'nothing.csv'],
      { 'marks.gpx': MARKS },
      1,
      'nothing.csv: error input/missing',
    ],
    [
      'an empty log',
      ['enrich', 'marks.gpx', '--soundings', 'log.csv'],
      { 'marks.gpx': MARKS, 'log.csv': '' },
      1,
      'log.csv',
    ],
    [
      'a zone without a rule',
      ['enrich', 'marks.gpx', '--soundings', 'log.csv', '--zones', 'zones.geojson'],
      {
        'marks.gpx': MARKS,
        'log.csv': LOG,
        'zones.geojson':
          '{"type":"Feature","properties":{},"geometry":{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]}}',
      },
      1,
      'zones.geojson: error zones/rule',
    ],
    [
      'a log without a unit',
      ['enrich', 'marks.gpx', '--soundings', 'log.csv'],
      { 'marks.gpx': MARKS, 'log.csv': LOG.replace('depth_m', 'depth') },
      1,
      '--depth-unit',
    ],
    [
      'a GPX file that is HTML',
      ['enrich', 'marks.gpx'],
      { 'marks.gpx': '<html><body>404</body></html>' },
      1,
      'HTML',
    ],
    ['an empty GPX file', ['enrich', 'marks.gpx'], { 'marks.gpx': '' }, 1, 'empty'],
    [
      'an existing output',
      ['enrich', 'marks.gpx', '--out', 'old.gpx'],
      { 'marks.gpx': MARKS, 'old.gpx': 'mine' },
      1,
      '--force',
    ],
    [
      'the input as output',
      ['enrich', 'marks.gpx', '--out', 'marks.gpx', '--force'],
      { 'marks.gpx': MARKS },
      1,
      '--in-place',
    ],
    [
      'an unknown option',
      ['enrich', 'marks.gpx', '--sonar', 'x'],
      { 'marks.gpx': MARKS },
      2,
      'has no option --sonar',
    ],
    [
      'an option out of range',
      ['enrich', 'marks.gpx', '--draft', '-1ft'],
      { 'marks.gpx': MARKS },
      2,
      '--draft -1ft is out of range',
    ],
    ['an unknown command', ['fish'], {}, 2, 'There is no command "fish"'],
    ['no waypoints named', ['enrich'], {}, 2, 'waypoint files'],
    [
      'a plugin that is not there',
      ['enrich', 'marks.gpx', '--plugin', './none.js'],
      { 'marks.gpx': MARKS },
      2,
      './none.js',
    ],
    [
      'a plugin that imports what is not there',
      ['enrich', 'marks.gpx', '--plugin', './own.js'],
      { 'marks.gpx': MARKS, 'own.js': "import './gone.js';" },
      2,
      'Install what the plugin imports',
    ],
    [
      'a module without a plugin',
      ['enrich', 'marks.gpx', '--plugin', './none.js'],
      { 'marks.gpx': MARKS, 'none.js': 'export const a = 1;' },
      2,
      'no exported plugin',
    ],
    [
      'a configuration with an unknown key',
      ['enrich', 'marks.gpx', '--config', 'c.yaml'],
      { 'marks.gpx': MARKS, 'c.yaml': 'units: m\nsonar: yes\n' },
      2,
      'c.yaml:2',
    ],
    [
      'a configuration that is not a mapping',
      ['enrich', 'marks.gpx', '--config', 'c.yaml'],
      { 'marks.gpx': MARKS, 'c.yaml': '- a\n' },
      2,
      'c.yaml',
    ],
  ])('%s', (_, args, files, status, text) => {
    const folder = folderWith(files as unknown as Record<string, string>);
    const before = readdirSync(folder).sort();
    const result = runProgram(args, { cwd: folder });
    expect(errorsOf(result.stderr).length, result.stderr).toBe(1);
    expect(result.stderr).toContain(text);
    expect(result.status).toBe(status);
    expect(result.stderr).not.toMatch(/\n\s+at /);
    expect(readdirSync(folder).sort()).toEqual(before);
  });

  test('an existing output that is refused stays untouched', () => {
    const folder = folderWith({ 'marks.gpx': MARKS, 'old.gpx': 'mine' });
    runProgram(['enrich', 'marks.gpx', '--out', 'old.gpx'], { cwd: folder });
    expect(readFileSync(join(folder, 'old.gpx'), 'utf8')).toBe('mine');
  });

  test('--json writes diagnostics as JSON lines', () => {
    const { stderr } = runProgram(['enrich', 'nothing.gpx', '--json'], { cwd: makeFolder() });
    expect(JSON.parse(stderr.trim())).toMatchObject({
      severity: 'error',
      code: 'input/missing',
      place: { file: 'nothing.gpx' },
    });
  });

  test('with --json standard error holds only JSON lines, without the summary', () => {
    const folder = folderWith({ 'marks.gpx': MARKS });
    const { status, stderr } = runProgram(['enrich', 'marks.gpx', '--json'], { cwd: folder });
    expect(status, stderr).toBe(0);
    const codes = stderr
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line).code);
    expect(codes).toContain('bottom/no-data');
  });

  test('without soundings a waypoint gets the status no-data, and the output is written', () => {
    const folder = folderWith({ 'marks.gpx': MARKS });
    const result = runProgram(['enrich', 'marks.gpx', '--table', 'table.csv'], { cwd: folder });
    expect(result.status, result.stderr).toBe(0);
    expect(existsSync(join(folder, 'marks.enriched.gpx'))).toBe(true);
    expect(readFileSync(join(folder, 'table.csv'), 'utf8')).toContain('no-data');
  });
});
