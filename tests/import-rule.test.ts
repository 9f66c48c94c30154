import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { describe, expect, test } from 'vitest';

const ROOT = resolve(import.meta.dirname, '..');
const REGISTRY = join('src', 'run', 'built-in.ts');
/** The only source file that may import from `fixtures`, where the demo lake is. */
const DEMO = join('src', 'cli', 'demo.ts');

const IMPORTS = /(?:from|import)\s*\(?\s*'(\.{1,2}\/[^']+)'/g;
const EXPORTS = /^export (?:async )?(?:const|function\*?|class|interface|type) (\w+)/gm;
const STATIC_IMPORTS = /from\s*'(\.{1,2}\/[^']+)'/g;

/**
 * Finds the relative imports of a source file, static and dynamic unless a pattern is given, as paths from
 * the root.
 */
function importsOf(file: string, pattern = IMPORTS): string[] {
  const text = readFileSync(join(ROOT, file), 'utf8');
  return [...text.matchAll(pattern)].map(([, path]) => relative(ROOT, resolve(ROOT, dirname(file), path)));
}

const filesOf = (room: string): string[] =>
  readdirSync(join(ROOT, room), { recursive: true, encoding: 'utf8' })
    .filter((path) => path.endsWith('.ts'))
    .map((path) => join(room, path));

/** Returns the top folder of a path, which determines the allowed imports. */
const floorOf = (path: string): string => path.split(sep)[0];

/** Describes an import that breaks the rule; undefined if the import is allowed. */
function breach(file: string, imported: string): string | undefined {
  const to = floorOf(imported);
  const allowed = { shared: ['shared'], plugins: ['shared'], src: ['src', 'shared'] }[floorOf(file)] ?? [];
  if (allowed.includes(to) || (file === REGISTRY && to === 'plugins') || (file === DEMO && to === 'fixtures'))
    return undefined;
  return `${file} imports ${imported}`;
}

/**
 * Returns the room of a file: its folder in `shared/` or `src/`, or the folder of its format. Each file
 * outside these folders counts as a room.
 */
function roomOf(path: string): string {
  const parts = path.split(sep);
  if (parts.length === 2) return parts[0] === 'plugins' ? 'plugins' : path;
  return parts.slice(0, parts[1] === 'formats' ? 3 : 2).join('/');
}

/** Finds a cycle of imports between rooms or files; undefined if there is none. */
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

  test('imports between rooms have no cycle, types included', () => {
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

  test('imports between files have no cycle, types included', () => {
    const imports = new Map(SOURCES.map((file) => [file, new Set(importsOf(file, STATIC_IMPORTS))]));
    expect(circleOf(imports)).toBeUndefined();
  });

  // Dynamic imports are not checked: modules loaded on first use are imported by file, not with their whole
  // room.
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
    // These names are shared by modules that replace each other: commands, tasks of threads, a library in a
    // browser.
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
