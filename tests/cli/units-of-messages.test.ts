import { describe, expect, test } from 'vitest';
import { formatDiagnostic, jsonDiagnostic } from '../../shared/contract/diagnostic.ts';
import { inKilometers, inMeters, inUnits } from '../../shared/contract/lengths.ts';
import { soundingPluginMessages } from '../../shared/text/messages/sounding-plugins.ts';
import { soundingMessages as says } from '../../shared/text/messages/soundings.ts';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

describe("lengths in messages are in the user's units", () => {
  test.each([
    [inMeters(0.23, 2), '0.23 m', '0.8 ft'],
    [inMeters(186.321, 2), '186.32 m', '611.3 ft'],
    [inMeters(351), '351 m', '1150 ft'],
    [inMeters(118), '118 m', '390 ft'],
    [inMeters(11), '11 m', '36 ft'],
    [inMeters(-0.01, 2), '-0.01 m', '0.0 ft'],
    [inKilometers(42_000), '42 km', '26 mi'],
  ])('%j', (marked, meters, feet) => {
    expect(inUnits(marked, 'm')).toBe(meters);
    expect(inUnits(marked, 'ft')).toBe(feet);
  });

  test('other parts of a message are unchanged, even values from a file that look like lengths', () => {
    const said = says['depth-range']({ file: 'a.csv', line: 2 }, '900\u00a0m', 500);
    expect(formatDiagnostic(said, 'ft')).toBe(
      'a.csv:2: warning soundings/depth-range: Row dropped: depth "900\\u00a0m" is more than 1640 ft. If the water is that deep, raise --max-depth.',
    );
    expect(inUnits('sound at 1482.1 m/s, 3 m', 'ft')).toBe('sound at 1482.1 m/s, 3 m');
  });

  test('JSON keeps meters', () => {
    const { message, values } = JSON.parse(
      jsonDiagnostic(soundingPluginMessages['water-level'](undefined, 186.32, 185.9, 186.32, 186.32)),
    );
    expect(values).toEqual({ levelThen: 186.32, levelToday: 185.9 });
    expect(message).toBe(
      '0.42 m is taken from the depths of this log: the water level was 186.32 m when it was made, and is 185.90 m on the day of the plan.',
    );
  });
});

describe('messages of a run', () => {
  const row = (i: number, depth: number) =>
    `${(35 + i * 1e-5).toFixed(6)},-85,${depth},2025-10-09T12:00:${String(i % 60).padStart(2, '0')}Z`;
  const log = ['lat,lon,depth_m,time', ...Array.from({ length: 50 }, (_, i) => row(i, i === 20 ? 0 : 5)), ''];
  const folder = makeFolder();
  write(folder, 'marks.gpx', gpxOf([{ name: 'A1', lat: 36, lon: -85 }]));
  for (const name of ['a.csv', 'b.csv']) write(folder, name, log.join('\n'));
  const run = (...more: string[]) =>
    runProgram(['check', 'marks.gpx', '--soundings', 'a.csv', 'b.csv', '--units', 'ft', ...more], {
      cwd: folder,
    }).stderr;

  test('the same sentence about several logs is one line, and a warning names its first place', () => {
    const said = run().split('\n');
    const of = (code: string) => said.filter((line) => line.includes(code));
    expect(of('depth-unit')).toEqual([
      'note soundings/depth-unit: 2 logs: Depths are in m (from the name of column "depth_m").',
    ]);
    expect(of('lost-bottom')).toHaveLength(1);
    expect(of('lost-bottom')[0]).toMatch(/^a\.csv:22: warning .* \(2 rows in 2 logs\)$/);
  });

  test('text is in feet and miles, and JSON in meters and kilometers', () => {
    expect(run()).toMatch(/ \d+ mi from the nearest waypoint/);
    expect(run('--json')).toMatch(/ \d+ km from the nearest waypoint/);
    expect(run('--json')).not.toContain('\u00a0');
  });
});
