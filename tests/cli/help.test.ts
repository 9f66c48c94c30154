import { describe, expect, test } from 'vitest';
import { makeFolder, runProgram, write } from './run-program.ts';

const COMMANDS = ['enrich', 'plan', 'review', 'check', 'view', 'batch', 'plugins'];

describe.each(COMMANDS)('downslope %s', (command) => {
  test('--help includes the cautions and shows no empty default', () => {
    const { status, stdout } = runProgram([command, '--help']);
    expect(status).toBe(0);
    expect(stdout).toContain('Not for navigation');
    expect(stdout).not.toMatch(/Default \.|undefined|NaN/);
  });

  test('--version prints the version', () => {
    expect(runProgram([command, '--version'])).toMatchObject({ status: 0, stdout: '0.1.0\n' });
  });

  test('an unknown option is refused with a pointer to the help', () => {
    const { status, stderr } = runProgram([command, '--no-such-option']);
    expect(status).toBe(2);
    expect(stderr).toContain(`See downslope ${command} --help.`);
  });
});

test('defaults are written as a user would type them', () => {
  const { stdout } = runProgram(['plugins', 'day-plan']);
  expect(stdout).toContain('Run speed on open water. From 1.2 mph to 134.2 mph. Default 45 mph.');
  expect(stdout).toContain('until your logs say more. More than 0, at most 100. Default 5.');
  expect(stdout).toContain('Default 20,30,40.');
  expect(stdout).toContain('Default 20 min.');
});

test('check without inputs is a bad command line', () => {
  const { status, stderr } = runProgram(['check']);
  expect(status).toBe(2);
  expect(stderr).toContain('There is nothing to check');
});

test('plan without its plugin day-plan is a bad command line', () => {
  const folder = makeFolder();
  write(folder, 'c.yaml', 'ramp: 40,-90\nwithout: day-plan\n');
  const { status, stderr } = runProgram(['plan', 'a.gpx', '--config', 'c.yaml'], { cwd: folder });
  expect(status).toBe(2);
  expect(stderr).toContain('Take that name out of --without.');
});

test('existing figures are refused before any work', () => {
  const folder = makeFolder();
  write(folder, 'overview.svg', '<svg/>');
  write(folder, 'broken.gpx', '<gpx');
  const { status, stderr } = runProgram(['enrich', 'broken.gpx', '--svg', '.'], { cwd: folder });
  expect(status).toBe(1);
  expect(stderr).toContain('overview.svg: error file/exists');
  expect(stderr).not.toContain('gpx/xml');
});

test.each([
  [[], 'There is no plan without the place where the day starts'],
  [['--ramp', '40,-90', '--start', '12:00', '--check-in', '11:00'], 'is not after the start'],
  [['--ramp', '40,-90', '--now', '09:00'], '--at'],
  [['--ramp', '40,-90', '--stays', '12,abc'], 'Write whole minutes from 1 to 240'],
])('plan %j is a bad command line, reported before anything is read', (options, said) => {
  const folder = makeFolder();
  write(folder, 'broken.gpx', '<gpx');
  const { status, stderr } = runProgram(['plan', 'broken.gpx', ...options], { cwd: folder });
  expect(status).toBe(2);
  expect(stderr).toContain(said);
  expect(stderr).not.toContain('broken.gpx');
});
