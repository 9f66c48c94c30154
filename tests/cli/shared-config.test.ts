import { describe, expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

const CONFIG = [
  'units: m',
  'table: spots.csv',
  'angles: 2',
  'passes: tomorrow.gpx',
  'port: 0',
  'ramp: 35.01,-85.01',
  'lures: no-such-box.csv',
  'draft: 1m',
  'options:',
  '  cast:',
  '    draft: 1m',
  '',
];

function lakeWith(config: readonly string[]): string {
  const folder = makeFolder();
  write(folder, 'marks.gpx', gpxOf([{ name: 'A1', lat: 35, lon: -85 }]));
  write(folder, 'log.csv', 'lat,lon,depth_m\n35.00001,-85.00001,5\n35.00002,-85.00002,5.1\n');
  write(folder, 'c.yaml', config.join('\n'));
  return folder;
}

describe('one configuration serves several commands', () => {
  test('check ignores keys of enrich, view and plan, and of plugins that it does not run', () => {
    const cwd = lakeWith(CONFIG);
    const result = runProgram(['check', 'marks.gpx', '--soundings', 'log.csv', '--config', 'c.yaml'], {
      cwd,
    });
    expect(result.stderr).not.toContain('config/key');
    expect(result.status).toBe(0);
  });

  test('a key that no command knows is refused by all commands, with file and line', () => {
    const cwd = lakeWith(['units: m', 'tabel: spots.csv', '']);
    for (const command of ['enrich', 'check', 'view', 'plan']) {
      const result = runProgram([command, 'marks.gpx', '--config', 'c.yaml'], { cwd });
      expect(result.status).toBe(2);
      expect(result.stderr).toBe(
        'c.yaml:2: error config/key: Nothing was run: a configuration has no option "tabel". Did you mean table?\n',
      );
    }
  });

  test('a configuration that names another one is refused, because it would not be read', () => {
    const cwd = lakeWith(['units: m', 'config: other.yaml', '']);
    const { status, stderr } = runProgram(['enrich', 'marks.gpx', '--config', 'c.yaml'], { cwd });
    expect([status, stderr.startsWith('c.yaml:2: error config/key')]).toEqual([2, true]);
  });
});
