import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { describe, expect, test } from 'vitest';

const ROOT = resolve(import.meta.dirname, '..');
const REGISTRY = join('src', 'run', 'built-in.ts');

/** Relative imports of a source file, static and dynamic, as paths from the root. */
function importsOf(file: string): string[] {
  const text = readFileSync(join(ROOT, file), 'utf8');
  const found = text.matchAll(/(?:from|import)\s*\(?\s*'(\.{1,2}\/[^']+)'/g);
  return [...found].map(([, path]) => relative(ROOT, resolve(ROOT, dirname(file), path)));
}

const filesOf = (room: string): string[] =>
  readdirSync(join(ROOT, room), { recursive: true, encoding: 'utf8' })
    .filter((path) => path.endsWith('.ts'))
    .map((path) => join(room, path));

const roomOf = (path: string): string => path.split(sep)[0];

/** Why an import breaks the rule of rooms, or nothing. */
function breach(file: string, imported: string): string | undefined {
  const to = roomOf(imported);
  const allowed = { shared: ['shared'], plugins: ['shared'], src: ['src', 'shared'] }[roomOf(file)] ?? [];
  if (allowed.includes(to) || (file === REGISTRY && to === 'plugins')) return undefined;
  return `${file} imports ${imported}`;
}

describe('rooms', () => {
  test('shared imports only shared; plugins import shared and no other plugin; src reaches plugins through one file', () => {
    const breaches = ['shared', 'plugins', 'src'].flatMap(filesOf).flatMap((file) =>
      importsOf(file)
        .map((imported) => breach(file, imported))
        .filter((found) => found !== undefined),
    );
    expect(breaches).toEqual([]);
  });

  test('a plugin that imports another plugin, and a source file that imports a plugin, are seen as breaches', () => {
    expect(breach('plugins/a.ts', 'plugins/b.ts')).toBeDefined();
    expect(breach('src/cli/a.ts', 'plugins/b.ts')).toBeDefined();
    expect(breach('shared/a.ts', 'src/b.ts')).toBeDefined();
    expect(breach(REGISTRY, 'plugins/b.ts')).toBeUndefined();
  });

  test('the top level holds only the rooms and the files that every project has', () => {
    const allowed = [
      'README.md',
      'DEVELOPERS.md',
      'LICENSE',
      'package.json',
      'package-lock.json',
      'tsconfig.json',
      'src',
      'plugins',
      'tests',
      'fixtures',
      'shared',
    ];
    const made = ['node_modules', 'dist', 'out', 'coverage'];
    const found = readdirSync(ROOT).filter((name) => !name.startsWith('.') && !made.includes(name));
    expect(found.filter((name) => !allowed.includes(name))).toEqual([]);
  });
});
