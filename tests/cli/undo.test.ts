import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { formatDiagnostic } from '../../shared/contract/diagnostic.ts';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

const LOG = `time,lat,lon,depth_m\n${Array.from({ length: 60 }, (_, i) => `${1_760_000_000 + i},${(40 + i * 1e-5).toFixed(6)},-90.000000,${5 + i / 50}`).join('\n')}\n`;

describe('downslope undo', () => {
  test('restores the bytes that were enriched', () => {
    const folder = makeFolder();
    write(folder, 'marks.gpx', gpxOf([{ name: 'A1', lat: 40.0003, lon: -90, comment: 'fish 14-19 ft' }]));
    write(folder, 'log.csv', LOG);
    const run = (...args: string[]) => {
      const { status, stderr } = runProgram(args, { cwd: folder });
      expect(status, stderr).toBe(0);
    };
    run('enrich', 'marks.gpx', '--soundings', 'log.csv');
    run('undo', 'marks.enriched.gpx');
    const bytes = (name: string): string => readFileSync(join(folder, name), 'utf8');
    expect(bytes('marks.restored.gpx')).toBe(bytes('marks.gpx'));
    expect(bytes('marks.enriched.gpx')).not.toBe(bytes('marks.gpx'));
    expect(runProgram(['undo', 'marks.enriched.gpx'], { cwd: folder }).status).toBe(1);
  });

  test('gives back every waypoint and no advice for units, whatever limits the configuration has', () => {
    const folder = makeFolder();
    const places = Array.from({ length: 5 }, (_, i) => ({
      name: `LONG NAME ${i}`,
      lat: 40 + i / 100,
      lon: -90,
    }));
    write(folder, 'marks.gpx', gpxOf(places));
    write(folder, 'unit.yaml', 'max-waypoints: 3\nmax-name: 8\n');
    const { status, stderr } = runProgram(['undo', 'marks.gpx', '--config', 'unit.yaml'], { cwd: folder });
    expect(status, stderr).toBe(0);
    expect(stderr).not.toContain('gpx/');
    const bytes = (name: string): string => readFileSync(join(folder, name), 'utf8');
    expect(bytes('marks.restored.gpx')).toBe(bytes('marks.gpx'));
    const own = runProgram(['undo', 'marks.gpx', '--out', 'marks.gpx', '--force'], { cwd: folder });
    expect(own.stderr).toContain(
      'The output would replace the input "marks.gpx". Give the output another path.\n',
    );
  });

  test('refuses a command without a file', () => {
    expect(runProgram(['undo'], { cwd: makeFolder() }).status).toBe(2);
  });
});

test('control and bidirectional characters in names never reach the terminal', () => {
  const text = formatDiagnostic({
    severity: 'note',
    code: 'a/b',
    message: 'x\u001b[2Jy\u202ez',
    place: { file: 'a\u0007.gpx', waypoint: 'q\u009b' },
  });
  expect(text).toBe('a\\u0007.gpx: waypoint "q\\u009b": note a/b: x\\u001b[2Jy\\u202ez');
});
