import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { makeFolder, runProgram, write } from '../cli/run-program.ts';
import { placeText } from './lake.ts';
import { lakeFolder } from './lake-folder.ts';

/** Makes a lake folder with the catch logs of two days next to its sonar log. */
function loggedFolder(): string {
  const folder = lakeFolder();
  write(folder, '2025-07-03.log', '# practice\n0640 A1 0 D 40m\n0730 a2 5 D 20m 45yd\n');
  write(
    folder,
    'second.csv',
    'date,time,mark,minutes,fish,side,lure,wind\n7/4/2025,6:40am,A1,30,3,D,16 ft diver,SW@10mph\n7/4/2025,7:30,A2,20,0,D,16 ft diver,\n7/4/2025,8:30,A3,20,1,D,16 ft diver,\n',
  );
  return folder;
}

describe('downslope review', () => {
  test('reads the logs of a folder but not its sonar, and shows two days side by side', () => {
    const cwd = loggedFolder();
    const { status, stdout, stderr } = runProgram(['review', '.', '--csv', 'review.csv'], { cwd });
    expect(status, stderr).toBe(0);
    expect(stdout).toContain('Review of 2025-07-04: 4 fish at 3 stops, 06:40 to 08:50');
    expect(stdout).toMatch(/^ledge +4 +\d+\.\d +3 +2 +70 +as expected$/m);
    expect(stdout).toMatch(/^16 ft diver +4 /m);
    expect(stdout).toContain('came on: A1 (0 then, 3 now)');
    expect(stdout).toContain('went off: A2 (5 then, 0 now)');
    expect(stdout).toContain('wind SW@10mph');
    expect(stdout).toContain('too few to learn from');
    const table = readFileSync(join(cwd, 'review.csv'), 'utf8').trim().split('\r\n');
    expect(table[0]).toBe('date,by,kind,stops,gave_fish,min,fish,expected,ratio,verdict');
    expect(table.filter((row) => row.startsWith('2025-07-03,')).length).toBeGreaterThan(4);
    const again = runProgram(['review', '.', '--csv', 'review.csv'], { cwd });
    expect(again.stderr).toContain('error file/exists');
  });

  test('--day selects another day, and --json prints the review as data', () => {
    const cwd = loggedFolder();
    const { stdout } = runProgram(['review', '.', '--day', '7/3/2025', '--json'], {
      cwd,
    });
    const review = JSON.parse(stdout);
    expect(review.day).toMatchObject({ date: '2025-07-03', all: { fish: 5, stops: 2 } });
    expect(review.before).toBeUndefined();
  });

  test('a plan for the next day reads the same folder, counts all logged days and says what it learned', () => {
    const cwd = loggedFolder();
    const args = `plan . --ramp ${placeText(-100, 0)} --log . --date 2025-07-05 --check-in 09:00`.split(' ');
    const { status, stdout, stderr } = runProgram(args, { cwd });
    expect(status, stderr).toBe(0);
    expect(stdout).toContain('ledge: 3 of 5 stops gave fish, all stops 3 of 5');
    expect(stdout).toContain('9 fish at 5 stops on 2 days');
    expect(stdout).toContain('From your confidence in the spots and 5 logged stops:');
  });

  test.each([
    ['a day that was not logged', ['second.csv', '--day', '1/1/2020'], 'day-plan/nothing-to-review', 1],
    ['a file that is not a log', ['bad.log'], 'day-plan/log-line', 1],
    ['no enriched file beside the log', ['apart/second.csv'], 'day-plan/no-lake', 2],
    ['no log', [], 'option/command-line', 2],
  ] as const)('%s gives one clear message', (_, args, code, expected) => {
    const cwd = loggedFolder();
    write(cwd, 'bad.log', 'nothing here\n');
    mkdirSync(join(cwd, 'apart'));
    write(join(cwd, 'apart'), 'second.csv', readFileSync(join(cwd, 'second.csv'), 'utf8'));
    const { status, stdout, stderr } = runProgram(['review', ...args], { cwd });
    expect(stderr.match(/error /g)).toHaveLength(1);
    expect(stderr).toContain(`error ${code}: `);
    expect(status).toBe(expected);
    expect(stdout).toBe('');
  });

  test('names the folder without an enriched file, and tells why no stop counts', () => {
    const cwd = loggedFolder();
    mkdirSync(join(cwd, 'apart'));
    write(join(cwd, 'apart'), 'day.log', '0640 A1 0\n');
    const beside = runProgram(['review', 'apart/day.log'], { cwd });
    expect(beside.stderr).toContain('no enriched GPX of your marks in the folder "apart". Give');
    const own = runProgram(['review', 'day.log'], { cwd: join(cwd, 'apart') });
    expect(own.stderr).toContain('no enriched GPX of your marks in this folder. Give');
    write(cwd, 'later.log', '2999-07-03 0640 A1 0\n');
    const later = runProgram(['review', 'later.log'], { cwd });
    expect(later.stderr).toMatch(
      /its date 2999-07-03 is after [-\d]+, the day of this run. Correct the date./,
    );
    expect(later.stderr).toContain('no stop at a mark of this lake up to today');
    const first = runProgram(['review', '2025-07-03.log'], { cwd });
    expect(first.stdout).toMatch(/^expected \d+\.\d fish from your confidence: /m);
  });

  test('a waypoint without a time is named', () => {
    const cwd = loggedFolder();
    write(
      cwd,
      'drop.gpx',
      '<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="40" lon="-90"><name>4f 25m D</name></wpt></gpx>',
    );
    const { status, stderr } = runProgram(['review', 'drop.gpx'], { cwd });
    expect(status).toBe(1);
    expect(stderr).toContain(
      'error day-plan/log-value: The log cannot be read: waypoint "4f 25m D" has no time.',
    );
  });

  test('a folder without a log says what is missing', () => {
    const { status, stderr } = runProgram(['review', '.'], { cwd: makeFolder() });
    expect(status).toBe(1);
    expect(stderr).toContain('error input/no-files');
  });
});
