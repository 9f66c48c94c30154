import { existsSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { describe, expect, test } from 'vitest';
import { readCsvFile } from '../../src/formats/csv/csv-file.ts';
import { gpxOf, makeFolder, runProgram, WITHOUT_CASTS, write } from './run-program.ts';

const PLUGINS = resolve(import.meta.dirname, '../../fixtures/plugins');
/** Source of the plugin shown in DEVELOPERS.md. */
const SHOWN = /```ts\n(import .*?)```/s.exec(
  readFileSync(resolve(import.meta.dirname, '../../DEVELOPERS.md'), 'utf8'),
)![1];
const MARKS = gpxOf(['A1', 'A2', 'A3'].map((name, i) => ({ name, lat: 40 + i * 0.0001, lon: -90 })));

/** Returns a log of passes 20 m apart over a plane that deepens eastward. */
function planeLog(): string {
  const rows = ['lat,lon,depth_m'];
  for (let pass = -6; pass <= 6; pass++) {
    for (let k = -40; k <= 40; k++) {
      const along = pass % 2 === 0 ? k : -k;
      rows.push(
        `${(40 + along * 0.00003).toFixed(7)},${(-90 + pass * 0.000234).toFixed(7)},${(6 + pass * 1.2).toFixed(2)}`,
      );
    }
  }
  return `${rows.filter((row) => !/,-/.test(row.slice(row.lastIndexOf(',')))).join('\n')}\n`;
}

const OWN =
  "export const p = { name: 'own-one', summary: 'P.', stage: 'waypoint', options: {}, requires: [], provides: [], fields: { a: { type: 'number', unit: 'm', decimals: 1, help: 'A.' } }, run: () => ({ a: VALUE }) };\n";

async function runWith(plugin?: string, more: readonly string[] = []) {
  const folder = makeFolder();
  write(folder, 'marks.gpx', MARKS);
  write(folder, 'log.csv', planeLog());
  const args = [
    'enrich',
    'marks.gpx',
    '--soundings',
    'log.csv',
    '--table',
    'table.csv',
    ...WITHOUT_CASTS,
    ...(plugin === undefined ? [] : ['--plugin', resolve(PLUGINS, plugin)]),
    ...more,
  ];
  const result = runProgram(args, { cwd: folder });
  const path = join(folder, 'table.csv');
  const table = existsSync(path) ? (await readCsvFile(path)).rows.map(({ values }) => values) : [];
  const column = (name: string): string[] => table.map((row) => row[name]);
  return { ...result, folder, column };
}

let depthsWithoutIt: Promise<string[]> | undefined;
/** Returns the depths of the marks, ft, from a run without user plugins that is made once. */
const plainDepths = (): Promise<string[]> => {
  depthsWithoutIt ??= runWith().then(({ column }) => column('depth_ft'));
  return depthsWithoutIt;
};

describe('a user plugin', () => {
  test('written in TypeScript puts its field into table and GPX, and its option is a flag', async () => {
    const east = await runWith('wave-shelter.ts', ['--wave-shelter.from', '90']);
    expect(east.status, east.stderr).toBe(0);
    expect(Number(east.column('wave_shelter_exposure')[2])).toBeCloseTo(1, 1);
    const west = await runWith('wave-shelter.ts', ['--wave-shelter.from', '270']);
    expect(Number(west.column('wave_shelter_exposure')[2])).toBe(0);
    const gpx = readFileSync(join(east.folder, 'marks.enriched.gpx'), 'utf8');
    expect(gpx).toContain('exposure');
  });

  test.each(['ts', 'js', 'mjs'])(
    'runs when copied from DEVELOPERS.md to any folder as .%s',
    async (extension) => {
      const path = write(makeFolder(), `wave-shelter.${extension}`, SHOWN);
      const { status, stderr, column } = await runWith(path, ['--wave-shelter.from', '90']);
      expect(status, stderr).toBe(0);
      expect(Number(column('wave_shelter_exposure')[2])).toBeCloseTo(1, 1);
    },
  );

  test('that is an ES module loads in a folder whose package.json says CommonJS, as npm init writes it', () => {
    const folder = makeFolder();
    write(folder, 'package.json', '{ "type": "commonjs" }');
    write(
      folder,
      'own.js',
      `import { toMeters } from 'downslope';\n${OWN.replace('VALUE', "toMeters(3, 'ft')")}`,
    );
    write(folder, 'wrong.js', 'export const p = {;\n');
    const { status, stdout } = runProgram(['plugins', '--plugin', './own.js'], { cwd: folder });
    expect(status).toBe(0);
    expect(stdout).toContain('own-one');
    const wrong = runProgram(['plugins', '--plugin', './wrong.js'], { cwd: folder });
    expect(wrong.status).toBe(2);
    expect(wrong.stderr).toContain('plugin/not-found');
  });

  test('that imports a missing package is refused with the name of the package', () => {
    const folder = makeFolder();
    write(folder, 'p.js', "import 'not-there';\n");
    const { status, stderr } = runProgram(['plugins', '--plugin', './p.js'], { cwd: folder });
    expect(status).toBe(2);
    expect(stderr).toContain('not-there');
  });

  test('of the plan stage is refused, because nothing would write its results', () => {
    const folder = makeFolder();
    write(
      folder,
      'p.js',
      "export const p = { name: 'counts', summary: 'Counts.', stage: 'plan', options: {}, requires: [], run: () => 1 };\n",
    );
    const { status, stderr } = runProgram(['plugins', '--plugin', './p.js'], { cwd: folder });
    expect(status).toBe(2);
    expect(stderr).toContain('error plugin/plan-stage: Plugin "counts" cannot be used: it plans the day');
  });

  test('that throws is named at each waypoint; the output is written and the status is 1', async () => {
    const { status, stderr, column } = await runWith('throws.js', ['--debug']);
    expect(status).toBe(1);
    expect(stderr.match(/throws\.js:\d+:\d+: waypoint "A1": error plugin\/threw/g)).toHaveLength(1);
    expect(stderr).toMatch(/plugin\/threw.*\n +at .*throws\.js/);
    expect(column('notes').every((notes) => notes.includes('plugin/threw'))).toBe(true);
    expect(column('depth_ft').every((depth) => depth !== '')).toBe(true);
  });

  test('that never returns is stopped at that waypoint, and other waypoints continue', async () => {
    const { status, column } = await runWith('never-returns.js', ['--plugin-patience', '1']);
    expect(status).toBe(1);
    expect(column('never_returns_answer')).toEqual(['42', '', '42']);
    expect(column('notes')[1]).toContain('plugin/hung');
    expect(column('depth_ft').every((depth) => depth !== '')).toBe(true);
  });

  test('that ends the process is named at that waypoint, and other waypoints continue', async () => {
    const { status, column } = await runWith('exits.js');
    expect(status).toBe(1);
    expect(column('exits_answer')).toEqual(['42', '', '42']);
    expect(column('notes')[1]).toContain('plugin/exited');
  });

  test('cannot harm later plugins by a timer that it leaves behind', async () => {
    const { status, stderr, column } = await runWith('exits-later.js');
    expect(status, stderr).toBe(0);
    expect(column('exits_later_answer')).toEqual(['42', '42', '42']);
  });

  test('that writes into the soundings is named, and does not change the results of other plugins', async () => {
    const { status, column } = await runWith('changes-input.js');
    expect(status).toBe(1);
    expect(column('notes').some((notes) => notes.includes('plugin/changed-input'))).toBe(true);
    expect(column('depth_ft')).toEqual(await plainDepths());
  });

  test('of the log stage that never returns is named, and nothing is written', async () => {
    const { status, stderr, folder } = await runWith('log-never-returns.js', ['--plugin-patience', '1']);
    expect(status).toBe(1);
    expect(stderr).toContain('"log-never-returns"');
    expect(stderr).toContain('and was stopped, so nothing is written.');
    expect(existsSync(join(folder, 'marks.enriched.gpx'))).toBe(false);
  });

  test.each([
    ['log', '{ for (let i = 0; i < log.count; i++) log.depth[i] += 1; return {}; }', 'changed its input'],
    ['survey', '{ survey.depth[0] += 1; return {}; }', 'changed its input'],
    ['log', '{ return undefined; }', 'returned undefined instead of an object'],
    ['log', '{ return Promise.resolve({}); }', 'returned a Promise instead of an object'],
    ['log', '{ return { depth: log.depth }; }', 'returned property "depth" instead of only columns'],
    ['survey', '{ return { columns: { depth: survey.depth.slice(1) } }; }', 'values in column "depth"'],
    [
      'survey',
      '{ return { columns: { depth: survey.depth.map(() => NaN) } }; }',
      'returned NaN in column "depth" instead of a number',
    ],
    [
      'log',
      '{ return { columns: { lat: [...log.lat] } }; }',
      'returned column "lat" as an Array instead of a Float64Array',
    ],
    ['log', '{ return { dropped: [{ reason: "x/y", rows: [-1] }] }; }', 'returned dropped row -1'],
    ['log', '{ return { reduced: { count: 1 } }; }', 'without column "lat"'],
  ])('of the %s stage with the body %s is named, and nothing is written', async (stage, body, said) => {
    const text = `export const p = { name: 'odd', summary: 'Odd.', stage: '${stage}', options: {}, run({ ${stage} }) ${body} };\n`;
    const { status, stderr, folder } = await runWith(write(makeFolder(), 'odd.js', text));
    expect(status).toBe(1);
    expect(stderr).toMatch(/error plugin\/(value|changed-input): Plugin "odd" /);
    expect(stderr).toContain(said);
    expect(stderr).toContain('nothing is written.');
    expect(existsSync(join(folder, 'marks.enriched.gpx'))).toBe(false);
  });

  test('of the log or survey stage changes the soundings as it returns', async () => {
    const text = [
      "export const a = { name: 'one-down', summary: 'A.', stage: 'survey', options: {},",
      '  run: ({ survey }) => ({ columns: { depth: survey.depth.map((depth) => depth + 0.3048) } }) };',
      "export const b = { name: 'first-off', summary: 'B.', stage: 'log', options: {},",
      "  run: () => ({ dropped: [{ reason: 'first-off/first', rows: [0] }] }) };\n",
    ].join('\n');
    const { status, stderr, column } = await runWith(write(makeFolder(), 'two.js', text));
    expect(status, stderr).toBe(0);
    const plain = await plainDepths();
    column('depth_ft').forEach((depth, i) => {
      expect(Number(depth)).toBeCloseTo(Number(plain[i]) + 1, 1);
    });
  });

  test('is described by plugins NAME like a built-in one', async () => {
    const { stdout, status } = runProgram([
      'plugins',
      'wave-shelter',
      '--plugin',
      join(PLUGINS, 'wave-shelter.ts'),
    ]);
    expect(status).toBe(0);
    expect(stdout).toContain('wave-shelter.exposure');
    expect(stdout).toContain('--wave-shelter.from');
  });

  test('can be named in a configuration, with its options', () => {
    const folder = makeFolder();
    write(folder, 'marks.gpx', MARKS);
    write(folder, 'log.csv', planeLog());
    write(
      folder,
      'c.yaml',
      `soundings: log.csv\ntable: t.csv\nplugins:\n  - ${join(PLUGINS, 'wave-shelter.ts')}\noptions:\n  wave-shelter:\n    from: 90\n`,
    );
    const env = { XDG_CONFIG_HOME: join(folder, 'settings') };
    expect(runProgram(['trust', 'c.yaml'], { cwd: folder, env }).status).toBe(0);
    const result = runProgram(['enrich', 'marks.gpx', '--config', 'c.yaml'], { cwd: folder, env });
    expect(result.status, result.stderr).toBe(0);
    expect(readFileSync(join(folder, 't.csv'), 'utf8')).toMatch(/wave_shelter_exposure/);
  });
});
