import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { builtinModules } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { CHECKS, importedIn, packAll, ROOT, WAYS } from '../package-check/installed.ts';

const PROGRAM = join(ROOT, 'dist/program');
const folder = mkdtempSync(join(tmpdir(), 'downslope-package-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const { dependencies } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as {
  dependencies: Record<string, string>;
};

/** Returns the names of packages that the built program imports. */
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

test('the dependencies are exactly the packages that the built program imports', () => {
  expect(importedPackages()).toEqual(Object.keys(dependencies).sort());
});

test('the license of every imported library comes with the program or with its package', () => {
  const licenses = ['licenses.txt', 'boat-page-licenses.txt']
    .map((name) => readFileSync(join(PROGRAM, name), 'utf8'))
    .join('\n');
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
  // Only parts of turf are bundled, each as a separate package.
  const pattern = (name: string) => (name === '@turf/turf' ? '@turf/[\\w-]+' : name);
  for (const name of bundled) expect(licenses).toMatch(new RegExp(`^${pattern(name)} \\d+\\.`, 'm'));
});

let tarballs: string[];
beforeAll(() => {
  tarballs = packAll(folder);
}, 60_000);

test('installed from its tarball in an empty folder, the package runs, finds plugins by name, can be imported, and type-checks', {
  timeout: 180_000,
}, () => {
  const installed = WAYS['npm install'](tarballs, folder, process.env);
  expect(installed.packages).toBeLessThanOrEqual(15);
  for (const check of Object.values(CHECKS)) check(installed);
  importedIn(installed);
  writeFileSync(join(installed.folder, 'use.ts'), USE);
  const strict = '--noEmit --strict --target es2022 --module nodenext --lib es2023,dom'.split(' ');
  const tsc = spawnSync(join(ROOT, 'node_modules/.bin/tsc'), [...strict, '--types', '', 'use.ts'], {
    cwd: installed.folder,
    encoding: 'utf8',
  });
  expect(tsc.stdout).toBe('');
});

test.each(['npm install -g', 'npx'])(
  'installed by %s, the package runs and finds plugins by name',
  { timeout: 120_000 },
  (way) => {
    const installed = WAYS[way](tarballs, folder, process.env);
    expect(installed.packages ?? 0).toBeLessThanOrEqual(15);
    CHECKS.start(installed);
    CHECKS['plugin by name'](installed);
  },
);

/** Code that uses the public interface, to be compiled by a user. */
const USE = `import { check, defineRefinePlugin, enrich, type EnrichAnswer, plan, type PlanAnswer, Refusal } from 'downslope';
import { madeLake, runPlugin, surveyOf } from 'downslope/testing';

export async function run(bytes: Uint8Array, signal: AbortSignal): Promise<[EnrichAnswer, PlanAnswer]> {
  const made = await enrich(
    { waypoints: [{ name: 'a.gpx', bytes }], soundings: [{ name: 'b.csv', bytes }], options: { 'fish-depth': '18-24ft' } },
    { signal, report: ({ code, values }) => console.log(code, values?.unit) },
  );
  const depth: number | undefined = made.spots[0].fields.depth;
  // @ts-expect-error a field is a number
  const wrong: string | undefined = made.spots[0].fields.depth;
  // @ts-expect-error waypoints are needed
  await enrich({ soundings: [] });
  // @ts-expect-error an input has a name
  await check({ soundings: [{ bytes }] });
  const { passes } = await check({ soundings: [madeLake().soundings[0]] });
  const day = await plan({ lake: made.spots, options: { ramp: '45,-93' } });
  console.log(depth, wrong, passes[0].bearing, day.plan.stops.length, new Refusal([]).status);
  return [made, day];
}

const refiner = defineRefinePlugin({
  name: 'a',
  summary: 'A.',
  stage: 'refine',
  options: { least: { kind: 'length', default: 2, help: 'Least.' } },
  requires: ['depth'],
  changes: ['structure'],
  // @ts-expect-error no such word
  run: ({ fields }, { least }) => (fields.depth > least ? { structure: 'laydown' } : {}),
});

export const tested = runPlugin(refiner, madeLake({ spacing: 10 }));
export const survey = surveyOf({ lat: new Float64Array(1), lon: new Float64Array(1), depth: new Float32Array(1) });
`;
