import { existsSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

const MARKS = gpxOf([{ name: 'A1', lat: 40, lon: -90 }]);
const LOG = `lat,lon,depth_m\n${Array.from({ length: 40 }, (_, i) => `${(40 + i * 1e-5).toFixed(6)},-90.000000,5.0`).join('\n')}\n`;

/** Makes a lake folder, a folder outside it, and a function that runs the program with empty settings. */
function strangersLake() {
  const home = makeFolder();
  const lake = join(home, 'lake');
  const outside = join(home, 'outside');
  for (const folder of [lake, join(lake, 'logs'), outside]) mkdirSync(folder);
  write(lake, 'marks.gpx', MARKS);
  write(join(lake, 'logs'), 'a.csv', LOG);
  const env = { XDG_CONFIG_HOME: join(home, 'settings') };
  const run = (...args: string[]) => runProgram(args, { cwd: home, env, timeout: 60_000 });
  return { home, lake, outside, run };
}

const pluginThatWrites = (path: string): string =>
  `import { writeFileSync } from 'node:fs';
writeFileSync(${JSON.stringify(path)}, 'ran');
export const own = { name: 'own', summary: 'x', stage: 'waypoint', options: {}, requires: [], provides: [], fields: {}, run: () => ({}) };
`;

describe("a stranger's lake folder", () => {
  test('does not run its plugin until it is trusted, nor after a script was added', () => {
    const { lake, outside, run } = strangersLake();
    const proof = join(outside, 'proof');
    write(lake, 'own.mjs', pluginThatWrites(proof));
    write(lake, 'downslope.yaml', 'plugins: [./own.mjs]\n');
    const first = run('batch', 'lake');
    expect(first.status).toBe(1);
    expect(first.stderr).toContain('batch/not-trusted');
    expect(first.stderr).toContain('runs the plugin ./own.mjs');
    expect(first.stderr).toContain('downslope trust lake');
    expect(existsSync(proof)).toBe(false);
    expect(existsSync(join(lake, 'plan'))).toBe(false);

    const { status, stderr } = run('trust', 'lake');
    expect([status, stderr]).toEqual([0, 'lake: runs the plugin ./own.mjs\nlake: trusted as it is now\n']);
    expect(existsSync(proof)).toBe(false);
    const second = run('batch', 'lake');
    expect(second.status, second.stderr).toBe(0);
    expect(second.stderr).toContain('lake, trusted: runs the plugin ./own.mjs');
    expect(readFileSync(proof, 'utf8')).toBe('ran');

    write(lake, 'helper.mjs', 'export {};\n');
    expect(run('batch', 'lake', '--again').stderr).toContain('batch/not-trusted');
    expect(run('trust', 'lake').status).toBe(0);
    expect(run('trust', 'lake', '--remove').status).toBe(0);
    expect(run('batch', 'lake', '--again').stderr).toContain('batch/not-trusted');
  });

  test.each(['geojson: ../outside/precious', 'cast-lines: ../outside/precious'])(
    'does not write outside through its configuration (%s)',
    (line) => {
      const { lake, outside, run } = strangersLake();
      const precious = write(outside, 'precious', 'precious');
      write(lake, 'downslope.yaml', `${line}\n`);
      expect(run('batch', 'lake').stderr).toContain('uses ../outside/precious');
      expect(readFileSync(precious, 'utf8')).toBe('precious');
    },
  );

  test('cannot redirect its outputs by a link in place of an output or of their folder', () => {
    const { lake, outside, run } = strangersLake();
    const precious = write(outside, 'precious', 'precious');
    mkdirSync(join(lake, 'plan'));
    symlinkSync(precious, join(lake, 'plan', 'table.csv'));
    expect(run('batch', 'lake').stderr).toContain('follows the link plan/table.csv to');
    expect(readFileSync(precious, 'utf8')).toBe('precious');
    const other = strangersLake();
    symlinkSync(other.outside, join(other.lake, 'plan'));
    expect(other.run('batch', 'lake').stderr).toContain('follows the link plan to');
  });

  test('needs no trust if it only sets numbers and names files inside', () => {
    const { lake, run } = strangersLake();
    write(lake, 'zones.geojson', '{"type":"FeatureCollection","features":[]}');
    write(lake, 'downslope.yaml', 'units: m\ngeojson: plan/lake.geojson\n');
    symlinkSync('a.csv', join(lake, 'logs', 'again.txt'));
    const { status, stderr } = run('batch', 'lake');
    expect(status, stderr).toBe(0);
    expect(existsSync(join(lake, 'plan', 'lake.geojson'))).toBe(true);
    expect(run('trust', 'lake').stderr).toContain('asks for nothing');
  });

  test('cannot hide its requests with escape sequences, which are shown and not obeyed', () => {
    const { lake, run } = strangersLake();
    writeFileSync(join(lake, 'downslope.yaml'), 'plugins: ["./\\e[2Jown.mjs"]\n');
    const { stderr } = run('batch', 'lake');
    expect(stderr).toContain('batch/not-trusted');
    expect(stderr).not.toContain('\u001b[2J');
  });

  test('with an unreadable configuration does not stop other lakes', () => {
    const { home, lake, run } = strangersLake();
    write(lake, 'downslope.yaml', 'plugins: [\n');
    mkdirSync(join(home, 'good'));
    write(join(home, 'good'), 'marks.gpx', MARKS);
    const { status, stdout } = run('batch', 'lake', 'good');
    expect(status).toBe(1);
    expect(stdout).toContain('lake,failed,2');
    expect(stdout).toContain('good,done,0');
  });
});

describe('the file of --config, which may be from somebody else', () => {
  const LINES = ['enrich', 'lake/marks.gpx', '--config', 'lake/c.yaml', '--no-store', '--force'];

  test('runs its plugin only if the file or its folder is trusted, or the command line names the plugin', () => {
    const { lake, outside, run } = strangersLake();
    const proof = join(outside, 'proof');
    write(lake, 'own.mjs', pluginThatWrites(proof));
    write(lake, 'c.yaml', 'plugins: [./own.mjs]\n');
    symlinkSync(outside, join(lake, 'lib'));
    const first = run(...LINES);
    expect([first.status, existsSync(proof)]).toEqual([2, false]);
    expect(first.stderr).toContain('config/not-trusted');
    expect(first.stderr).toContain('follows the link lib to');
    expect(first.stderr).toContain('runs the plugin ./own.mjs');
    expect(run(...LINES, '--plugin', './lake/own.mjs').stderr).not.toContain('not-trusted');
    expect(run('trust', 'lake/c.yaml').stderr).toContain('lake/c.yaml: trusted as it is now');
    expect(run(...LINES).status).toBe(0);
    write(lake, 'own.mjs', `${pluginThatWrites(proof)}// changed\n`);
    expect(run(...LINES).stderr).toContain('config/not-trusted');
    write(lake, 'downslope.yaml', 'plugins: [./own.mjs]\n');
    expect(run('trust', 'lake').status).toBe(0);
    const ofLake = LINES.map((word) => word.replace('c.yaml', 'downslope.yaml'));
    expect(run(...ofLake).status).toBe(0);
  });

  test.each([
    ['table: ../outside/precious\n', 'uses ../outside/precious (option table)'],
    [
      'preset: p\npresets:\n  p:\n    geojson: ../outside/precious\n',
      'uses ../outside/precious (option geojson)',
    ],
    ['host: 0.0.0.0\n', 'listens at 0.0.0.0 (option host)'],
  ])('does not write outside its folder or open a port to the network: %j', (text, asked) => {
    const { lake, outside, run } = strangersLake();
    const precious = write(outside, 'precious', 'precious');
    write(lake, 'c.yaml', text);
    const { status, stderr } = run(...LINES);
    expect(status).toBe(2);
    expect(stderr).toContain(asked);
    expect(readFileSync(precious, 'utf8')).toBe('precious');
  });

  test('reads files elsewhere, such as logs on a card, without asking', () => {
    const { lake, outside, run } = strangersLake();
    write(outside, 'b.csv', LOG);
    write(lake, 'c.yaml', 'soundings: ../outside/b.csv\n');
    expect(run(...LINES).status).toBe(0);
  });
});

describe('a link in the folder of the inputs', () => {
  test.each([
    ['as an output', 'lake/table.csv'],
    ['as the folder of an output', 'lake/out/table.csv'],
  ])('%s is not followed out of the folder, but the path that it leads to may be given', (_, table) => {
    const { lake, outside, run } = strangersLake();
    const precious = write(outside, 'table.csv', 'precious');
    symlinkSync(precious, join(lake, 'table.csv'));
    symlinkSync(outside, join(lake, 'out'));
    const { status, stderr } = run('enrich', 'lake/marks.gpx', '--table', table, '--force');
    expect(status).toBe(1);
    expect(stderr).toContain('file/link-leads-out');
    expect(readFileSync(precious, 'utf8')).toBe('precious');
    expect(run('enrich', 'lake/marks.gpx', '--table', 'outside/table.csv', '--force').status).toBe(0);
  });

  test("is followed if it stays inside, as is the user's own link elsewhere", () => {
    const { home, lake, outside, run } = strangersLake();
    mkdirSync(join(lake, 'deep'));
    symlinkSync('deep', join(lake, 'in'));
    symlinkSync(outside, join(home, 'mine'));
    for (const table of ['lake/in/table.csv', 'mine/table.csv'])
      expect(run('enrich', 'lake/marks.gpx', '--table', table, '--force').status).toBe(0);
    expect(existsSync(join(outside, 'table.csv'))).toBe(true);
  });
});
