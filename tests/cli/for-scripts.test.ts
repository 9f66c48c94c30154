import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { writeBigLog } from '../../fixtures/lakes/big-lake.ts';
import { gpxOf, makeFolder, PROGRAM, runProgram, WITHOUT_CASTS, write } from './run-program.ts';

const json = (args: readonly string[], cwd?: string): unknown =>
  JSON.parse(runProgram(args, cwd === undefined ? {} : { cwd }).stdout);

function lake(): string {
  const folder = makeFolder();
  writeBigLog(join(folder, 'log.csv'), 6000, 2);
  write(folder, 'marks.gpx', gpxOf([{ name: 'A', lat: 44.2, lon: -95.4 }]));
  return folder;
}

describe('a pipe', () => {
  const folder = lake();
  const common = ['--no-store', '--no-enriched', '--quiet', '--force', ...WITHOUT_CASTS];
  const table = (soundings: string): string =>
    `${process.execPath} ${PROGRAM} enrich marks.gpx --soundings ${soundings} --table out.csv ${common.join(' ')}`;
  const run = (command: string): string => {
    rmSync(join(folder, 'out.csv'), { force: true });
    execFileSync('bash', ['-c', `set -e; ${command}`], { cwd: folder, stdio: ['ignore', 'pipe', 'pipe'] });
    return readFileSync(join(folder, 'out.csv'), 'utf8');
  };
  const file = run(table('log.csv'));

  test.each([
    ['standard input', `cat log.csv | ${table('-')}`],
    ['a pipe of the shell', table('<(cat log.csv)')],
    ['a FIFO', `rm -f fifo; mkfifo fifo; cat log.csv > fifo & ${table('fifo')}`],
    ['standard input for waypoints', `cat marks.gpx | ${table('log.csv').replace('marks.gpx', '-')}`],
  ])('%s gives the same table as the file', (name, command) => {
    const found = run(command);
    expect(name.endsWith('waypoints') ? found.replace(/^'-,/gm, 'marks.gpx,') : found).toBe(file);
  });

  test('with --no-enriched no GPX is written', () => {
    expect(existsSync(join(folder, 'marks.enriched.gpx'))).toBe(false);
  });
});

describe('machine-readable output', () => {
  test('the columns of the table are described with their units, in the order of the table', () => {
    const folder = lake();
    const columns = json(['schema', 'table', '--units', 'm']) as { column: string; unit?: string }[];
    runProgram(['enrich', 'marks.gpx', '--units', 'm', '--table', 't.csv', '--no-enriched'], { cwd: folder });
    const header = readFileSync(join(folder, 't.csv'), 'utf8').split('\n')[0];
    expect(columns.map(({ column }) => column).join(',')).toBe(header);
    expect(columns.find(({ column }) => column === 'depth_m')?.unit).toBe('m');
  });

  test('messages follow their schema, with lengths as numbers', () => {
    const folder = lake();
    const schema = json(['schema', 'messages']) as {
      properties: Record<string, unknown>;
      required: string[];
    };
    const { stderr } = runProgram(
      ['enrich', 'marks.gpx', '--soundings', 'log.csv', '--json', '--no-enriched', '--no-store'],
      { cwd: folder },
    );
    const messages = stderr
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(messages.length).toBeGreaterThan(2);
    for (const message of messages) {
      expect(Object.keys(schema.properties)).toEqual(expect.arrayContaining(Object.keys(message)));
      expect(Object.keys(message)).toEqual(expect.arrayContaining(schema.required));
    }
    expect(messages.some(({ lengths }) => Array.isArray(lengths))).toBe(true);
  });

  test('the schema of the configuration has the options of commands and plugins', () => {
    const { properties } = json(['schema', 'config']) as {
      properties: Record<string, { enum?: string[]; type?: unknown; properties?: object }>;
    };
    expect(properties['depth-unit'].enum).toContain('ft');
    expect(properties['fish-depth'].type).toEqual(['string', 'number']);
    expect(properties.options.properties).toHaveProperty('cast');
  });

  test('check and plugins print JSON when asked', () => {
    const folder = lake();
    const checked = json(['check', 'marks.gpx', '--soundings', 'log.csv', '--json'], folder);
    expect(checked).toMatchObject({ logs: [{ file: 'log.csv' }], marks: [{ waypoint: 'A' }], leftOut: [] });
    const plugins = json(['plugins', '--json']) as { name: string }[];
    expect(plugins.map(({ name }) => name)).toContain('bottom');
  });

  test.each(['bash', 'zsh', 'fish'])('completion for %s names commands and options', (shell) => {
    const { status, stdout } = runProgram(['completion', shell]);
    expect(status).toBe(0);
    expect(stdout).toContain('enrich');
    expect(stdout).toMatch(/fish-depth/);
    if (shell === 'bash') {
      const asked = `${stdout}\nCOMP_WORDS=(downslope enrich --depth-u); COMP_CWORD=2; _downslope; echo "\${COMPREPLY[@]}"`;
      expect(execFileSync('bash', ['-c', asked], { encoding: 'utf8' }).trim()).toBe('--depth-unit');
    }
  });
});

test('presets of a configuration apply by name, several at once, and an unknown one is refused', () => {
  const folder = lake();
  write(folder, 'c.yaml', 'presets:\n  metric: { units: m }\n  long: { max-name: 4, plain: on }\n');
  const run = (...args: string[]) =>
    runProgram(['enrich', 'marks.gpx', '--config', 'c.yaml', '--no-enriched', '--table', '-', ...args], {
      cwd: folder,
    });
  expect(run().stdout).toContain('depth_ft');
  expect(run('--preset', 'metric', '--preset', 'long').stdout).toContain('depth_m');
  expect(run('--preset', 'wide').stderr).toContain(
    '"wide" is not one of the presets in the file of --config: metric, long',
  );
});
