import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { runProgram, write } from '../cli/run-program.ts';
import { placeText } from './lake.ts';
import { lakeFolder } from './lake-folder.ts';

describe('downslope plan', () => {
  test('prints the plan and writes page, CSV and GPX with one route per run, and repeats the same bytes with --force', () => {
    const folder = lakeFolder();
    const outputs = ['day.html', 'day.csv', 'day.gpx'];
    const args =
      `plan lake.enriched.gpx --ramp ${placeText(-100, 0)} --date 2026-07-04 --soundings sonar.csv`.split(
        ' ',
      );
    const files = ['--page', outputs[0], '--csv', outputs[1], '--gpx', outputs[2]];
    const first = runProgram([...args, '--check-in', '08:30', ...files], { cwd: folder });
    expect(first.status, first.stderr).toBe(0);
    expect(first.stdout).toMatch(/^Day plan 2026-07-04: 06:30 to check-in 08:30, \d stops/);
    const texts = outputs.map((name) => readFileSync(join(folder, name), 'utf8'));
    expect(texts[0]).toContain('Not for navigation');
    const stops = texts[1].trim().split('\r\n').length - 1;
    expect(texts[2].match(/<rte>/g)!.length).toBe(stops + 1);
    expect(texts[0]).not.toMatch(/fish expected/i);
    const refused = runProgram([...args, '--check-in', '08:30', ...files], { cwd: folder });
    expect(refused.status).toBe(1);
    const again = runProgram([...args, '--check-in', '08:30', ...files, '--force'], { cwd: folder });
    expect(again.stdout).toBe(first.stdout);
    expect(outputs.map((name) => readFileSync(join(folder, name), 'utf8'))).toEqual(texts);
  });

  test('stops of an earlier plan among the marks, with or without their type, stay in the file but are not used as marks', () => {
    const folder = lakeFolder();
    const ramp = ['--ramp', placeText(-100, 0)];
    runProgram(['plan', 'lake.enriched.gpx', ...ramp, '--gpx', 'day.gpx'], { cwd: folder });
    const day = readFileSync(join(folder, 'day.gpx'), 'utf8');
    write(folder, 'bare.gpx', day.replace(/<type>.*?<\/type>/g, ''));
    for (const file of ['day.gpx', 'bare.gpx']) {
      const enriched = runProgram(['enrich', file, '--out', '-'], { cwd: folder });
      expect(enriched.stdout).toBe(readFileSync(join(folder, file), 'utf8'));
      expect(enriched.stderr).toContain(
        'note gpx/plan-stop: This waypoint is not enriched: its type or comment says that it is a stop of a day plan',
      );
    }
    const alone = runProgram(['plan', 'lake.enriched.gpx', ...ramp], { cwd: folder });
    const both = runProgram(['plan', 'lake.enriched.gpx', 'day.gpx', ...ramp], { cwd: folder });
    expect(both.stdout).toBe(alone.stdout);
  });

  test('a file that was not enriched is refused with the command to run', () => {
    const folder = lakeFolder();
    write(
      folder,
      'raw.gpx',
      '<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="40" lon="-90"><name>A1</name></wpt></gpx>',
    );
    const { status, stderr } = runProgram(['plan', 'raw.gpx', '--ramp', placeText(0, 0)], { cwd: folder });
    expect(status).toBe(1);
    expect(stderr).toContain('No mark of raw.gpx has a boat position');
    expect(stderr).toContain('downslope enrich raw.gpx --soundings');
  });

  test('a file written with --plain is refused as such, with the command to run', () => {
    const folder = lakeFolder();
    write(
      folder,
      'plain.gpx',
      '<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="40" lon="-90"><name>A1</name><cmt>[ds: Point 71%, 15ft]</cmt></wpt><wpt lat="40" lon="-90.0001"><name>A1 D</name><cmt>Boat 24ft, cast 279M 48yd to 16ft</cmt></wpt></gpx>',
    );
    const { status, stderr } = runProgram(['plan', 'plain.gpx', '--ramp', placeText(0, 0)], { cwd: folder });
    expect(status).toBe(1);
    expect(stderr).toContain('--plain or your unit left out');
    expect(stderr).toContain('downslope enrich plain.gpx --no-plain --soundings');
  });

  test('--report adds a report with the plan and every spot, and the plan stays the same', () => {
    const folder = lakeFolder();
    const args = `plan . --ramp ${placeText(-100, 0)} --soundings sonar.csv --check-in 08:30`.split(' ');
    const alone = runProgram(args, { cwd: folder });
    const both = runProgram([...args, '--report', 'report.html'], { cwd: folder });
    expect(both.status, both.stderr).toBe(0);
    expect(both.stdout).toBe(alone.stdout);
    const page = readFileSync(join(folder, 'report.html'), 'utf8');
    expect(page).toContain('<h2 id="day">The day</h2>');
    expect(page.match(/<section class="card spot"/g)).toHaveLength(3);
    expect(page).toContain('No run here is said to be safe');
  });

  test('a log and --now replan the rest of the day', () => {
    const folder = lakeFolder();
    write(folder, 'day.log', '0640 A1 0 D 40m\n0730 A2 5 D 20m\n');
    const args = `plan . --ramp ${placeText(-100, 0)} --soundings sonar.csv --check-in 11:00`.split(' ');
    const more = ['--log', 'day.log', '--now', '08:00', '--at', placeText(300, 0)];
    const { status, stdout, stderr } = runProgram([...args, ...more], { cwd: folder });
    expect(status, stderr).toBe(0);
    expect(stdout).toContain('ledge: 1 of 2 stops gave fish, all stops 1 of 2');
    expect(stdout).toContain('08:00 to check-in 11:00');
  });

  test.each([
    ['a check-in before the start', ['--check-in', '06:00'], 'day-plan/hours', 2],
    ['a line that is not a log entry', ['--log', 'bad.log'], 'day-plan/log-line', 1],
    ['a zones file that is not GeoJSON', ['--zones', 'bad.json'], 'zones/geojson', 1],
  ] as const)('%s gives one clear message, and nothing is written', (_, more, code, expected) => {
    const folder = lakeFolder();
    write(folder, 'bad.log', 'nothing here\n');
    write(folder, 'bad.json', '[]');
    const args = ['plan', 'lake.enriched.gpx', '--ramp', placeText(-100, 0), '--page', 'day.html', ...more];
    const { status, stdout, stderr } = runProgram(args, { cwd: folder });
    expect(status).toBe(expected);
    expect(stdout).toBe('');
    expect(stderr.match(/error /g)).toHaveLength(1);
    expect(stderr).toContain(`error ${code}: `);
    expect(existsSync(join(folder, 'day.html'))).toBe(false);
  });
});
