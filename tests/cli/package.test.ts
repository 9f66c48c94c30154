import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { builtinModules } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, expect, test } from 'vitest';
import { gpxOf } from './run-program.ts';

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
  // Of turf only the packages used are put in, each under its own name.
  const pattern = (name: string) => (name === '@turf/turf' ? '@turf/[\\w-]+' : name);
  for (const name of bundled) expect(licenses).toMatch(new RegExp(`^${pattern(name)} \\d+\\.`, 'm'));
});

/** Packs a package as it would be published. @returns The tarball. */
function pack(from: string): string {
  const args = ['pack', '--ignore-scripts', '--silent', '--pack-destination', folder];
  return join(folder, execFileSync('npm', args, { cwd: from, encoding: 'utf8' }).trim());
}

const PLUGINS = ['lead-line-reader', 'brush-refiner', 'drift-writer'];

test('installed from its tarball in an empty folder it runs, with plugins by name, for a program and for a compiler', () => {
  const tarballs = [ROOT, ...PLUGINS.map((name) => join(ROOT, 'fixtures/plugins/packages', name))].map(pack);
  const project = mkdtempSync(join(folder, 'project-'));
  writeFileSync(join(project, 'package.json'), '{ "name": "a-project", "private": true, "type": "module" }');
  const install = ['install', '--prefer-offline', '--no-audit', '--no-fund', '--silent', ...tarballs];
  execFileSync('npm', install, { cwd: project });
  const lock = JSON.parse(readFileSync(join(project, 'package-lock.json'), 'utf8'));
  const installed = Object.keys(lock.packages).filter(
    (name) => name !== '' && !PLUGINS.some((own) => name.endsWith(own)),
  );
  expect(installed.length).toBeLessThanOrEqual(15);
  const run = (command: string, ...args: string[]): string =>
    execFileSync(join(project, 'node_modules/.bin', command), args, { cwd: project, encoding: 'utf8' });
  expect(run('downslope', '--version')).toMatch(/^\d+\.\d+\.\d+\n$/);
  expect(run('downslope', 'demo', 'lake')).toContain('lake/report.html: open it in a browser');

  writeFileSync(
    join(project, 'marks.gpx'),
    gpxOf([{ name: 'A', lat: 45.1, lon: -93.2, comment: 'point, fish 10-14 ft' }]),
  );
  const book = Array.from({ length: 400 }, (_, i) => {
    const [east, north] = [i % 20, Math.floor(i / 20)];
    return `${45.1 + (north - 10) * 5e-5} ${-93.2 + (east - 10) * 5e-5} 2 fm ${Math.round(east / 5)} ft`;
  });
  writeFileSync(join(project, 'book.lead'), `LEAD LINE BOOK\n${book.join('\n')}\n`);
  const plugins = PLUGINS.flatMap((name) => ['--plugin', name]);
  const logs = [
    '--soundings',
    'book.lead',
    '--table',
    'table.csv',
    '--drifts',
    'drifts',
    '--json',
    '--noted-word.surest',
    '1',
  ];
  const { status, stderr } = spawnSync(
    join(project, 'node_modules/.bin/downslope'),
    ['enrich', 'marks.gpx', ...logs, ...plugins],
    { cwd: project, encoding: 'utf8' },
  );
  expect(status, stderr).toBe(0);
  const [header, row] = readFileSync(join(project, 'table.csv'), 'utf8')
    .split('\n')
    .map((line) => line.split(','));
  // Two fathoms and two feet at the mark.
  expect(Number(row[header.indexOf('depth_ft')])).toBeCloseTo(14, 0);
  expect(row[header.indexOf('structure')]).toBe('point');
  expect(stderr).toContain('"code":"plugin/refined"');
  expect(readFileSync(join(project, 'drifts/drifts.gpx'), 'utf8')).toContain('<name>A drift</name>');

  writeFileSync(join(project, 'use.ts'), USE);
  const program =
    "import { enrich } from 'downslope'; import { runPlugin } from 'downslope/testing'; import { notedWord } from 'brush-refiner'; const { faults, spots } = await runPlugin(notedWord); console.log(typeof enrich, faults.length, spots.length);";
  const said = execFileSync(process.execPath, ['--input-type=module', '-e', program], {
    cwd: project,
    encoding: 'utf8',
  });
  expect(said.trim()).toBe('function 0 1');
  const types = [
    '--noEmit',
    '--strict',
    '--target',
    'es2022',
    '--module',
    'nodenext',
    '--lib',
    'es2023,dom',
    '--types',
    '',
    'use.ts',
  ];
  const tsc = spawnSync(join(ROOT, 'node_modules/.bin/tsc'), types, { cwd: project, encoding: 'utf8' });
  expect(tsc.stdout).toBe('');
});

/** The public interface as a stranger compiles it. */
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
