import { readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { describe, expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, WITHOUT_MODELS, write } from '../cli/run-program.ts';

const DRIFT = resolve(import.meta.dirname, '../../fixtures/plugins/packages/drift-writer/index.js');
const MARKS = [
  { name: 'A', lat: 45.1, lon: -93.2, comment: 'fish 10-14 ft' },
  { name: 'B', lat: 45.102, lon: -93.2 },
];

/** Makes a folder with marks and a log of a sloping bottom, and returns functions to run the program there. */
function lakeOf(marks = MARKS) {
  const folder = makeFolder();
  const text = (name: string): string => readFileSync(join(folder, name), 'utf8');
  write(folder, 'marks.gpx', gpxOf(marks));
  const rows = Array.from({ length: 400 }, (_, i) => {
    const [east, north] = [i % 20, Math.floor(i / 20)];
    return `${45.1 + (north - 10) * 5e-5},${-93.2 + (east - 10) * 5e-5},${12 + Math.round(east / 5)}`;
  });
  write(folder, 'log.csv', `lat,lon,depth_ft\n${rows.join('\n')}\n`);
  const run = (...args: string[]) => {
    const result = runProgram(args, { cwd: folder });
    expect(result.status, result.stderr).toBe(0);
    return result;
  };
  const enrich = (from: string, to: string, ...more: string[]) =>
    run('enrich', from, '--soundings', 'log.csv', '--out', to, '--force', ...WITHOUT_MODELS, ...more);
  return { folder, text, run, enrich };
}

/** Returns the waypoints of a GPX text by name. */
const waypointsOf = (text: string): Map<string, string> =>
  new Map([...text.matchAll(/<wpt[\s\S]*?<name>([^<]*)<\/name>[\s\S]*?<\/wpt>/g)].map((m) => [m[1], m[0]]));
const withoutElements = (text: string): string =>
  text.replace(/\s*<extensions>[\s\S]*?<\/extensions>/g, '').replace(/ xmlns:ds="[^"]*"/, '');
const PLUGIN = ['--plugin', DRIFT];

describe('positions of a writer', () => {
  test('follow their marks, are replaced by the next run, and undo removes them to the byte', () => {
    const { text, run, enrich } = lakeOf();
    enrich('marks.gpx', 'one.gpx', ...PLUGIN);
    const [mark, start] = ['A', 'A W'].map((name) => waypointsOf(text('one.gpx')).get(name)!);
    expect(start).toContain('<cmt>drift from 270 true, 80 m to the mark</cmt>');
    const lonOf = (xml: string): number => Number(/lon="([^"]*)"/.exec(xml)![1]);
    expect((lonOf(mark) - lonOf(start)) * 111_320 * Math.cos((45.1 * Math.PI) / 180)).toBeCloseTo(80, 0);
    enrich('one.gpx', 'two.gpx', ...PLUGIN);
    expect(text('two.gpx')).toBe(text('one.gpx'));
    run('undo', 'one.gpx', '--out', 'undone.gpx');
    expect(text('undone.gpx')).toBe(text('marks.gpx'));
  });

  test('are removed when a later run lacks the plugin', () => {
    const { text, enrich } = lakeOf();
    enrich('marks.gpx', 'one.gpx', ...PLUGIN);
    enrich('one.gpx', 'two.gpx');
    expect(text('two.gpx')).not.toContain(' W</name>');
  });

  test('are recognized when a chartplotter exports them numbered and cut, without our elements', () => {
    const { folder, text, run, enrich } = lakeOf();
    enrich('marks.gpx', 'one.gpx', ...PLUGIN);
    const back = withoutElements(text('one.gpx')).replace('<name>A W</name>', '<name>A W 2</name>');
    write(folder, 'back.gpx', back.replace('80 m to the mark', '80 m to'));
    enrich('back.gpx', 'two.gpx', ...PLUGIN);
    expect([...waypointsOf(text('two.gpx')).keys()]).toEqual([...waypointsOf(text('one.gpx')).keys()]);
    run('undo', 'back.gpx', '--out', 'undone.gpx', '--soundings', 'log.csv');
    expect([...waypointsOf(text('undone.gpx')).keys()]).toEqual(['A', 'B']);
  });

  test.each([
    ['with a ledger', []],
    ['without a ledger', ['--no-store']],
  ])('keep what the user wrote on them, %s', (_, more) => {
    const { folder, text, enrich } = lakeOf();
    enrich('marks.gpx', 'one.gpx', ...PLUGIN, ...more);
    const noted = text('one.gpx').replaceAll('m to the mark</cmt>', 'm to the mark; 3 fish here</cmt>');
    write(folder, 'noted.gpx', noted);
    enrich('noted.gpx', 'two.gpx', ...PLUGIN, ...more, '--drift.from', '180');
    const start = waypointsOf(text('two.gpx')).get('A W')!;
    expect(start).toContain('<cmt>drift from 180 true');
    expect(start).toMatch(/<desc>; 3 fish here<\/desc>/);
  });

  test('are recognized by their type without extension elements and ledger, and replaced', () => {
    const { text, enrich } = lakeOf();
    const plain = [...PLUGIN, '--plain', '--no-store'];
    enrich('marks.gpx', 'one.gpx', ...plain);
    expect(text('one.gpx')).not.toContain('extensions');
    enrich('one.gpx', 'two.gpx', ...plain);
    expect(text('two.gpx')).toBe(text('one.gpx'));
    enrich('two.gpx', 'three.gpx', ...plain, '--drift.from', '180');
    const [before, after] = ['two.gpx', 'three.gpx'].map((name) => waypointsOf(text(name)));
    expect([...after.keys()]).toEqual([...before.keys()]);
    expect(after.get('A W')).toContain('<cmt>drift from 180 true');
    // Without an element or a ledger, the old comment is taken for the user's own.
    expect(after.get('A W')).toContain('<desc>drift from 270 true');
  });

  test('are numbered if a mark has the same name', () => {
    const clash = { name: 'A W', lat: 45.1003, lon: -93.2, comment: 'stump' };
    const { text, run, enrich } = lakeOf([...MARKS, clash]);
    enrich('marks.gpx', 'one.gpx', ...PLUGIN);
    const found = waypointsOf(text('one.gpx'));
    expect(found.get('A W')).toContain('stump');
    expect(found.get('A W2')).toContain('drift from');
    run('undo', 'one.gpx', '--out', 'undone.gpx');
    expect(text('undone.gpx')).toBe(text('marks.gpx'));
  });
});

const writerOf = (name: string, body: string): string =>
  `export const p = { name: '${name}', summary: 'P.', stage: 'writer', requires: [], options: { out: { kind: 'text', isPath: true, help: 'Out.' } }, write: () => [], ${body} };\n`;

test.each([
  ["suffixes: ['W'], positions: () => []", 'plugin/suffix-twice', 'Plugins "drift" and "own"'],
  ["suffixes: ['D'], positions: () => []", 'plugin/shape', 'other than D, U and A'],
  ['positions: () => []', 'plugin/shape', 'one to three capitals'],
])('a writer with %s is refused when it loads', (body, code, said) => {
  const folder = makeFolder();
  const path = write(folder, 'own.js', writerOf('own', body));
  const { status, stderr } = runProgram(['plugins', ...PLUGIN, '--plugin', path]);
  expect(status).toBe(2);
  expect(stderr).toContain(code);
  expect(stderr).toContain(said);
});

test.each([
  ["{ of: waypoints[0], suffix: 'X', lat: 45, lon: -93, comment: '' }", 'suffix "X"'],
  ["{ of: {}, suffix: 'Y', lat: 45, lon: -93, comment: '' }", 'a position for an unknown waypoint'],
  [
    "{ of: waypoints[0], suffix: 'Y', lat: Number.NaN, lon: -93, comment: '' }",
    'a position at NaN, -93 instead of latitude and longitude',
  ],
  ["{ of: waypoints[0], suffix: 'Y', lat: 45, lon: -93, comment: 'a\\nb' }", 'text "a\\nb"'],
])('a position %s is refused with the name of its plugin, and nothing is written', (position, said) => {
  const { folder } = lakeOf();
  const path = write(
    folder,
    'own.js',
    writerOf('own', `suffixes: ['Y'], positions: ({ waypoints }) => [${position}]`),
  );
  const args = ['enrich', 'marks.gpx', '--soundings', 'log.csv', '--plugin', path];
  const { status, stderr } = runProgram(args, { cwd: folder });
  expect(status).toBe(1);
  expect(stderr).toContain('Plugin "own"');
  expect(stderr).toContain(said);
});
