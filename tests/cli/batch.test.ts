import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { basename, join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { describe, expect, test } from 'vitest';
import { readJobs } from '../../src/cli/batch/job-list.ts';
import { gpxOf, makeFolder, PROGRAM, runProgram, write } from './run-program.ts';

const MARKS = gpxOf([{ name: 'A1', lat: 40, lon: -90 }]);
const LOG = `lat,lon,depth_m\n${Array.from({ length: 40 }, (_, i) => `${(40 + i * 1e-5).toFixed(6)},-90.000000,5.0`).join('\n')}\n`;

/** Makes a folder with two good lakes and one whose log has no unit. */
function threeLakes(): string {
  const home = makeFolder();
  for (const name of ['east', 'north', 'west']) {
    const lake = join(home, name);
    mkdirSync(join(lake, 'logs'), { recursive: true });
    write(lake, 'marks.gpx', MARKS);
    write(join(lake, 'logs'), 'a.csv', name === 'north' ? LOG.replace('depth_m', 'depth') : LOG);
  }
  return home;
}

const rowsOf = (stdout: string): string[][] =>
  stdout
    .trim()
    .split('\n')
    .slice(1)
    .map((line) => line.split(','));

describe('batch', () => {
  test('a lake that fails is listed and its reason reported, and the other lakes are done', () => {
    const home = threeLakes();
    const { status, stdout, stderr } = runProgram(['batch', 'east', 'north', 'west'], { cwd: home });
    expect(status, stderr).toBe(1);
    expect(rowsOf(stdout).map(([lake, outcome]) => [lake, outcome])).toEqual([
      ['east', 'done'],
      ['north', 'failed'],
      ['west', 'done'],
    ]);
    expect(stderr).toContain('Lake "north"');
    expect(stderr).toContain('--depth-unit');
    expect(readFileSync(join(home, 'west', 'plan', 'table.csv'), 'utf8')).toContain('A1');
    expect(existsSync(join(home, 'east', 'plan', 'marks.enriched.gpx'))).toBe(true);
  });

  test('a lake whose folder waypoints/ holds one file is done, and done again when an output is missing', () => {
    const home = makeFolder();
    const lake = join(home, 'east');
    mkdirSync(join(lake, 'waypoints'), { recursive: true });
    write(join(lake, 'waypoints'), 'marks.gpx', MARKS);
    const outcome = () => {
      const { status, stdout, stderr } = runProgram(['batch', 'east'], { cwd: home });
      expect(status, stderr).toBe(0);
      return rowsOf(stdout)[0][1];
    };
    expect(outcome()).toBe('done');
    expect(existsSync(join(lake, 'plan', 'marks.enriched.gpx'))).toBe(true);
    expect(outcome()).toBe('unchanged');
    rmSync(join(lake, 'plan', 'table.csv'));
    expect(outcome()).toBe('done');
    expect(outcome()).toBe('unchanged');
  });

  test('a lake that is done is not repeated until an input or option changes, and one that failed is tried again', () => {
    const home = threeLakes();
    runProgram(['batch', 'east', 'north', 'west'], { cwd: home });
    write(join(home, 'west'), 'marks.gpx', MARKS.replace('A1', 'B1'));
    const { stdout } = runProgram(['batch', 'east', 'north', 'west', '--', '--depth-unit', 'm'], {
      cwd: home,
    });
    expect(rowsOf(stdout).map(([lake, outcome]) => [lake, outcome])).toEqual([
      ['east', 'done'],
      ['north', 'done'],
      ['west', 'done'],
    ]);
    const again = runProgram(['batch', 'east', 'north', 'west', '--', '--depth-unit', 'm'], { cwd: home });
    expect(again.status).toBe(0);
    expect(rowsOf(again.stdout).map(([, outcome]) => outcome)).toEqual([
      'unchanged',
      'unchanged',
      'unchanged',
    ]);
  });

  test('a lake is done again when a file named by an argument or the configuration changes, or an output is missing', () => {
    const home = threeLakes();
    const box = (label: number): string =>
      write(home, 'box.csv', `name,label_ft\n${label} ft diver,${label}\n`);
    const words = (text: string): string => write(join(home, 'west'), 'closed.csv', text);
    box(12);
    words('name,label_ft\nbig,20\n');
    write(join(home, 'west'), 'downslope.yaml', 'lures: closed.csv\n');
    const outcomes = (): string[] => {
      const east = runProgram(['batch', 'east', '--', '--lures', 'box.csv'], { cwd: home });
      const west = runProgram(['batch', 'west'], { cwd: home });
      return [east, west].map(({ stdout }) => rowsOf(stdout)[0][1]);
    };
    expect(outcomes()).toEqual(['done', 'done']);
    expect(outcomes()).toEqual(['unchanged', 'unchanged']);
    box(9);
    expect(outcomes()).toEqual(['done', 'unchanged']);
    words('name,label_ft\nbigger,25\n');
    expect(outcomes()).toEqual(['unchanged', 'done']);
    rmSync(join(home, 'east', 'plan', 'table.csv'));
    expect(outcomes()).toEqual(['done', 'unchanged']);
  });

  test('an argument replaces the same option of the list and of the folder, and a list of values grows', () => {
    const home = threeLakes();
    write(join(home, 'east'), 'lures.csv', 'name,label_ft\nbig,20\n');
    const options = '{ units: m, max-depth: 40, sentinels: [1, 2], lures: own.csv }';
    const list = write(home, 'lakes.yaml', `lakes: [{ folder: east, options: ${options} }]\n`);
    const [{ args }] = readJobs([list], ['--units=ft', '--sentinels', '3', '--table', 't.csv']);
    const own = args.slice(args.indexOf('--report') + 2).map((word) => basename(word));
    const words =
      '--force --max-depth 40 --sentinels 1 --sentinels 2 --lures own.csv --units=ft --sentinels 3 --table t.csv';
    expect(own).toEqual(words.split(' '));
    for (const flag of ['--table', '--lures']) expect(args.filter((word) => word === flag)).toHaveLength(1);
  });

  test('a lake with a plugin that throws gets its outputs and is tried again every time', () => {
    const home = makeFolder();
    const lake = join(home, 'east');
    mkdirSync(lake);
    write(lake, 'marks.gpx', MARKS);
    write(lake, 'downslope.yaml', 'plugins: [./bad.mjs]\n');
    write(
      lake,
      'bad.mjs',
      `export const bad = {
        name: 'bad', summary: 'Throws.', stage: 'waypoint', options: {}, requires: [], provides: [],
        run() { throw new Error('no'); },
      };\n`,
    );
    const env = { XDG_CONFIG_HOME: join(home, 'settings') };
    expect(runProgram(['trust', 'east'], { cwd: home, env }).status).toBe(0);
    const outcome = () => {
      const { status, stdout } = runProgram(['batch', 'east'], { cwd: home, env });
      return [status, rowsOf(stdout)[0][1]];
    };
    expect([outcome(), outcome()]).toEqual([
      [1, 'incomplete'],
      [1, 'incomplete'],
    ]);
    expect(existsSync(join(lake, 'plan', 'marks.enriched.gpx'))).toBe(true);
  });

  test('a lake that is written without one log is reported as incomplete, with only the error and where its option goes', () => {
    const home = threeLakes();
    write(join(home, 'east', 'logs'), 'b.csv', LOG.replace('depth_m', 'depth'));
    const { status, stdout, stderr } = runProgram(['batch', 'east'], { cwd: home });
    expect([status, rowsOf(stdout)[0][1]]).toEqual([1, 'incomplete']);
    expect(stderr).toContain(
      `The plan of lake "east" is written, but with errors: ${join('east', 'logs', 'b.csv')}:1: error`,
    );
    expect(stderr).toContain('Put options for enrich after --');
    expect(stderr).not.toContain(' note ');
  });

  test('after a signal no further lake is started', async () => {
    const home = threeLakes();
    const batch = spawn(process.execPath, [PROGRAM, 'batch', 'east', 'west'], { cwd: home });
    let said = '';
    let reported = '';
    batch.stdout.on('data', (text) => {
      said += text;
    });
    batch.stderr.on('data', (text) => {
      reported += text;
    });
    // The first lake has started once its output folder exists.
    while (!existsSync(join(home, 'east', 'plan'))) await wait(5);
    batch.kill('SIGINT');
    const [status] = await once(batch, 'exit');
    expect(status).toBe(130);
    expect(rowsOf(said).map(([lake]) => lake)).not.toContain('west');
    expect(reported).toContain('Lake "east" was stopped before it was done. Run the batch again.');
    expect(existsSync(join(home, 'west', 'plan'))).toBe(false);
  });

  test('paths in the options of a list are relative to its folder, like its other paths', () => {
    const home = threeLakes();
    write(home, 'box.csv', 'name,label_ft\n14 ft diver,14\n');
    write(home, 'lakes.yaml', 'lakes:\n  - folder: east\n    options: { lures: box.csv, units: m }\n');
    const elsewhere = makeFolder();
    const { status, stderr } = runProgram(['batch', join(home, 'lakes.yaml')], { cwd: elsewhere });
    expect(status, stderr).toBe(0);
  });

  test('a YAML list names folders, or waypoints with logs, with options for each', () => {
    const home = threeLakes();
    write(
      home,
      'lakes.yaml',
      'lakes:\n  - east\n  - folder: north\n    options: { depth-unit: m }\n  - name: third\n    waypoints: west/marks.gpx\n    soundings: [west/logs]\n    out: third\n',
    );
    const { status, stdout, stderr } = runProgram(['batch', 'lakes.yaml'], { cwd: home });
    expect(status, stderr).toBe(0);
    expect(rowsOf(stdout).map(([lake]) => lake)).toEqual(['east', 'north', 'third']);
    expect(existsSync(join(home, 'third', 'table.csv'))).toBe(true);
  });

  test.each([
    ['a path that is not there', 'none', 'input/missing'],
    ['a list with an unknown key', 'lakes.yaml', 'batch/jobs'],
    ['a list with waypoints that are not there', 'gone.yaml', 'gone.gpx: error input/missing'],
  ])('%s gives one clear message', (_, path, code) => {
    const home = makeFolder();
    write(home, 'lakes.yaml', 'lakes:\n  - pond: east\n');
    write(home, 'gone.yaml', 'lakes:\n  - { waypoints: gone.gpx, out: plan }\n');
    const { status, stderr } = runProgram(['batch', path], { cwd: home });
    expect(status).toBe(1);
    expect(stderr.trim().split('\n')).toHaveLength(1);
    expect(stderr).toContain(code);
  });
});
