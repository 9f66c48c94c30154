import { mkdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { describe, expect, test } from 'vitest';
import { makeFolder, runProgram, write } from '../cli/run-program.ts';

const PLUGIN = resolve(import.meta.dirname, '../../fixtures/plugins/depth-diary.ts');
const DIARY = '@ 40.00000 -90.00000\n5.5\n6\nwind got up\n@ 40.0001 -90.0\n7\n';

const check = (folder: string, ...more: string[]) =>
  runProgram(['check', '--soundings', 'logs', ...more], { cwd: folder });

function folderWith(text: string): string {
  const folder = makeFolder();
  mkdirSync(join(folder, 'logs'));
  write(join(folder, 'logs'), 'a.diary', text);
  return folder;
}

describe('a reader plugin of the user', () => {
  test('reads its files in a folder, with dropped rows counted and its option as a flag', () => {
    const folder = folderWith(DIARY);
    const meters = check(folder, '--plugin', PLUGIN, '--units', 'm');
    expect(meters.status, meters.stderr).toBe(0);
    expect(meters.stdout).toContain('a.diary: 4 rows read, 3 used, 1 dropped');
    expect(meters.stderr).toContain('a.diary:4: warning diary/words: Words: wind got up.');
    const deep = check(folder, '--plugin', PLUGIN, '--max-depth', '6.5m', '--max-dropped', '1');
    expect(deep.stdout).toContain('a.diary: 4 rows read, 2 used, 2 dropped');
    const feet = check(folder, '--plugin', PLUGIN, '--depth-diary.unit', 'ft', '--max-depth', '6.5m');
    expect(feet.stdout).toContain('a.diary: 4 rows read, 3 used, 1 dropped');
  });

  test('loads by name from a package that is an ES module', () => {
    const folder = folderWith(DIARY);
    const home = join(folder, 'node_modules/diary');
    mkdirSync(home, { recursive: true });
    const exports = { '.': { import: './index.mjs' } };
    write(home, 'package.json', JSON.stringify({ name: 'diary', version: '1.0.0', type: 'module', exports }));
    const source = readFileSync(PLUGIN, 'utf8').replace(
      /: \{ lat: number.*?\}\[\]|: number\[\]|\(name: [^)]*\): Float64Array/g,
      (part) => (part.startsWith('(') ? '(name)' : ''),
    );
    write(home, 'index.mjs', source.replace(" as 'm'", ''));
    const { status, stdout, stderr } = check(folder, '--plugin', 'diary');
    expect(status, stderr).toBe(0);
    expect(stdout).toContain('3 used');
  });

  test.each([
    ['crash', 1, 'plugin/threw: Plugin "depth-diary" failed (no such page)'],
    ['torn', 1, 'a.diary:2: error diary/torn: Torn page.'],
    ['forever', 1, 'plugin/hung: Plugin "depth-diary"'],
  ])('that fails at "%s" is named, or its own message is shown with file and line', (word, status, words) => {
    const result = check(folderWith(`@ 40 -90\n${word}\n`), '--plugin', PLUGIN, '--plugin-patience', '1');
    expect(result.status).toBe(status);
    expect(result.stderr).toContain(words);
  });

  test.each([
    [
      "{ name: 'r', summary: 'R.', stage: 'reader', options: {}, extensions: ['.r'], read: () => 1 }",
      'sniff',
    ],
    [
      "{ name: 'r', summary: 'R.', stage: 'reader', options: {}, extensions: ['r'], sniff: () => true, read: () => 1 }",
      'extensions',
    ],
  ])('with a missing or malformed property is refused when it is loaded: %s', (source, what) => {
    const folder = folderWith(DIARY);
    write(folder, 'p.js', `export const p = ${source};\n`);
    const { status, stderr } = check(folder, '--plugin', './p.js');
    expect(status).toBe(2);
    expect(stderr).toContain('error plugin/shape');
    expect(stderr).toContain(what);
  });

  test('with columns that do not fit is refused by name', () => {
    const folder = folderWith(DIARY);
    write(
      folder,
      'p.js',
      "export const p = { name: 'odd', summary: 'Odd.', stage: 'reader', options: {}, extensions: ['.diary'], sniff: () => true, read: () => ({ soundings: [{ lat: new Float64Array(2), lon: new Float64Array(1), depth: new Float64Array(2), depthUnit: 'm' }] }) };\n",
    );
    const { status, stderr } = check(folder, '--plugin', './p.js');
    expect(status).toBe(1);
    expect(stderr).toContain(
      'Plugin "odd" returned 1 value in column "lon" instead of 2 as in "lat", so nothing is written.',
    );
  });
});
