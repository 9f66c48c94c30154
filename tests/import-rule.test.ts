import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { describe, expect, test } from 'vitest';

const ROOT = resolve(import.meta.dirname, '..');
const REGISTRY = join('src', 'run', 'built-in.ts');
/** The command that makes the demo lake, which tests use as well. */
const DEMO = join('src', 'cli', 'demo.ts');

const IMPORTS = /(?:from|import)\s*\(?\s*'(\.{1,2}\/[^']+)'/g;
const EXPORTS = /^export (?:async )?(?:const|function\*?|class|interface|type) (\w+)/gm;
const STATIC_IMPORTS = /from\s*'(\.{1,2}\/[^']+)'/g;

/** Relative imports of a source file, as paths from the root: static and dynamic ones unless a pattern is given. */
function importsOf(file: string, pattern = IMPORTS): string[] {
  const text = readFileSync(join(ROOT, file), 'utf8');
  return [...text.matchAll(pattern)].map(([, path]) => relative(ROOT, resolve(ROOT, dirname(file), path)));
}

const filesOf = (room: string): string[] =>
  readdirSync(join(ROOT, room), { recursive: true, encoding: 'utf8' })
    .filter((path) => path.endsWith('.ts'))
    .map((path) => join(room, path));

/** The top folder of a path, which determines who may import whom. */
const floorOf = (path: string): string => path.split(sep)[0];

/** Why an import breaks the rule, or undefined. */
function breach(file: string, imported: string): string | undefined {
  const to = floorOf(imported);
  const allowed = { shared: ['shared'], plugins: ['shared'], src: ['src', 'shared'] }[floorOf(file)] ?? [];
  if (allowed.includes(to) || (file === REGISTRY && to === 'plugins') || (file === DEMO && to === 'fixtures'))
    return undefined;
  return `${file} imports ${imported}`;
}

/**
 * The room of a file: its folder in `shared/` or `src/`, or that of its format. Files outside the rooms count as one
 * each.
 */
function roomOf(path: string): string {
  const parts = path.split(sep);
  if (parts.length === 2) return parts[0] === 'plugins' ? 'plugins' : path;
  return parts.slice(0, parts[1] === 'formats' ? 3 : 2).join('/');
}

/** A cycle of imports that leads from a room or file back to itself, or undefined. */
function circleOf(imports: ReadonlyMap<string, ReadonlySet<string>>): string[] | undefined {
  const done = new Set<string>();
  const search = (room: string, way: readonly string[]): string[] | undefined => {
    const at = way.indexOf(room);
    if (at >= 0) return [...way.slice(at), room];
    if (done.has(room)) return undefined;
    for (const next of imports.get(room) ?? []) {
      const found = search(next, [...way, room]);
      if (found !== undefined) return found;
    }
    done.add(room);
    return undefined;
  };
  for (const room of imports.keys()) {
    const found = search(room, []);
    if (found !== undefined) return found;
  }
  return undefined;
}

const SOURCES = ['shared', 'plugins', 'src'].flatMap(filesOf);

describe('rooms', () => {
  test('shared imports only shared; plugins import shared and no other plugin; src reaches plugins through one file', () => {
    const breaches = SOURCES.flatMap((file) =>
      importsOf(file)
        .map((imported) => breach(file, imported))
        .filter((found) => found !== undefined),
    );
    expect(breaches).toEqual([]);
  });

  test('no room imports itself through others, types included', () => {
    const imports = new Map<string, Set<string>>();
    for (const file of SOURCES) {
      const from = roomOf(file);
      const to = importsOf(file).map(roomOf);
      imports.set(from, new Set([...(imports.get(from) ?? []), ...to.filter((room) => room !== from)]));
    }
    expect(circleOf(imports)).toBeUndefined();
    expect(
      circleOf(
        new Map([
          ['a', new Set(['b'])],
          ['b', new Set(['a'])],
        ]),
      ),
    ).toEqual(['a', 'b', 'a']);
  });

  test('no file imports itself through others, types included', () => {
    const imports = new Map(SOURCES.map((file) => [file, new Set(importsOf(file, STATIC_IMPORTS))]));
    expect(circleOf(imports)).toBeUndefined();
  });

  // Modules loaded on first use are imported by file name, since the index would load the whole room.
  test('a room is entered only through its index', () => {
    const past = SOURCES.flatMap((file) =>
      importsOf(file, STATIC_IMPORTS)
        .filter((imported) => roomOf(imported) !== roomOf(file) && imported.split(sep).length > 2)
        .filter((imported) => roomOf(imported) !== 'plugins' && !imported.endsWith(`${sep}index.ts`))
        .map((imported) => `${file} imports ${imported}`),
    );
    expect(past).toEqual([]);
  });

  test('the contract imports nothing outside it, and nothing in shared touches Node', () => {
    const outside = filesOf('shared/contract').flatMap((file) =>
      importsOf(file).filter((imported) => roomOf(imported) !== 'shared/contract'),
    );
    expect(outside).toEqual([]);
    const ofNode = filesOf('shared').filter((file) =>
      /(?:from|import)\s*\(?\s*'node:/.test(readFileSync(join(ROOT, file), 'utf8')),
    );
    expect(ofNode).toEqual([]);
  });

  test('every exported name means one thing', () => {
    // Modules that replace another one elsewhere (a command, a task of a thread, a library in a browser) share its
    // names.
    const shared = ['run', 'serve', 'iconv'];
    const files = new Map<string, string[]>();
    for (const file of SOURCES.filter((path) => path !== join('src', 'package.ts')))
      for (const [, name] of readFileSync(join(ROOT, file), 'utf8').matchAll(EXPORTS))
        files.set(name, [...(files.get(name) ?? []), file]);
    expect(files.size).toBeGreaterThan(1000);
    expect([...files].filter(([name, found]) => found.length > 1 && !shared.includes(name))).toEqual([]);
  });

  test('a plugin that imports another plugin, and a source file that imports a plugin, are detected', () => {
    expect(breach('plugins/a.ts', 'plugins/b.ts')).toBeDefined();
    expect(breach('src/cli/a.ts', 'plugins/b.ts')).toBeDefined();
    expect(breach('shared/a.ts', 'src/b.ts')).toBeDefined();
    expect(breach(REGISTRY, 'plugins/b.ts')).toBeUndefined();
  });

  test('the top level contains only the rooms and the usual files of a project', () => {
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
