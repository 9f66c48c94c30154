import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { builtinModules } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, expect, test } from 'vitest';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const PROGRAM = join(ROOT, 'dist/program');
const folder = mkdtempSync(join(tmpdir(), 'downslope-package-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const { dependencies } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as {
  dependencies: Record<string, string>;
};

/** Packages that the built program still asks for by name. */
function importedPackages(): string[] {
  const files = readdirSync(PROGRAM, { recursive: true, encoding: 'utf8' }).filter((name) =>
    name.endsWith('.js'),
  );
  const names = files.flatMap((name) => {
    const text = readFileSync(join(PROGRAM, name), 'utf8');
    return [
      ...text.matchAll(
        /^(?:import|export)[^'"\n]*?["']([^."'][^"']*)["'];|\b(?:import|require\$?\d*)\("([^."][^"]*)"\)/gm,
      ),
    ].map((match) => match[1] ?? match[2]);
  });
  const isBuiltin = (name: string): boolean => name.startsWith('node:') || builtinModules.includes(name);
  return [...new Set(names)].filter((name) => !isBuiltin(name)).sort();
}

test('what is installed with the program is what the built program imports, and no more', () => {
  expect(importedPackages()).toEqual(Object.keys(dependencies).sort());
});

test('the license of every library that sources import lies beside the program, or comes with its package', () => {
  const licenses = readFileSync(join(PROGRAM, 'licenses.txt'), 'utf8');
  const sources = ['src', 'shared', 'plugins'].flatMap((room) =>
    readdirSync(join(ROOT, room), { recursive: true, encoding: 'utf8' })
      .filter((name) => name.endsWith('.ts'))
      .map((name) => readFileSync(join(ROOT, room, name), 'utf8')),
  );
  const names = sources.flatMap((text) => [
    ...text.matchAll(/^(?:import (?!type)[^;]*?|\} )from '((?:@[\w-]+\/)?[a-z][\w.-]*)'/gm),
  ]);
  const bundled = new Set(names.map((match) => match[1]).filter((name) => !(name in dependencies)));
  expect(bundled.size).toBeGreaterThan(8);
  // Of turf only the packages used are put in, each under its own name.
  const pattern = (name: string) => (name === '@turf/turf' ? '@turf/[\\w-]+' : name);
  for (const name of bundled) expect(licenses).toMatch(new RegExp(`^${pattern(name)} \\d+\\.`, 'm'));
});

test('the packed program runs where nothing else is installed', () => {
  execFileSync('npm', ['pack', '--ignore-scripts', '--silent', '--pack-destination', folder], { cwd: ROOT });
  const [tarball] = readdirSync(folder);
  execFileSync('tar', ['xzf', tarball], { cwd: folder });
  const cli = join(folder, 'package/dist/program/cli.js');
  expect(execFileSync(process.execPath, [cli, '--version'], { encoding: 'utf8' })).toMatch(
    /^\d+\.\d+\.\d+\n$/,
  );
  expect(execFileSync(process.execPath, [cli, 'enrich', '--help'], { encoding: 'utf8' })).toContain(
    '--soundings',
  );
});
