import { equal, match, ok } from 'node:assert/strict';
import { execFileSync, spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { delimiter, join, resolve } from 'node:path';
import { gpxOf } from '../cli/run-program.ts';

/** Root of the project, both when run from source and when compiled. */
export const ROOT = resolve(import.meta.dirname.replace(/[\\/]dist(?=[\\/]tests)/, ''), '../..');
/** Plugin packages as third parties would write them. */
export const PLUGINS = ['lead-line-reader', 'brush-refiner', 'drift-writer'];

/** Packs the program and the plugin packages as for publishing. @returns Paths of the tarballs. */
export function packAll(folder: string): string[] {
  return [ROOT, ...PLUGINS.map((name) => join(ROOT, 'fixtures/plugins/packages', name))].map((from) => {
    const args = ['pack', '--ignore-scripts', '--silent', '--pack-destination', folder];
    return join(folder, execFileSync('npm', args, { cwd: from, encoding: 'utf8' }).trim());
  });
}

/** The program as installed in one way. */
export interface Installed {
  /** Folder in which the program runs. */
  readonly folder: string;
  /** Number of installed packages, with the program but without plugins; undefined if unknown. */
  readonly packages?: number;
  run(...args: string[]): {
    readonly status: number | null;
    readonly stdout: string;
    readonly stderr: string;
  };
}

/** Returns an environment that takes `node` and `npm` from another folder. */
export const withNode = (folder: string | undefined): NodeJS.ProcessEnv =>
  folder === undefined ? process.env : { ...process.env, PATH: `${folder}${delimiter}${process.env.PATH}` };

const INSTALL = ['install', '--prefer-offline', '--no-audit', '--no-fund', '--silent'];

type Way = (tarballs: readonly string[], work: string, env: NodeJS.ProcessEnv) => Installed;

/** Ways to install the program. */
export const WAYS: Readonly<Record<string, Way>> = {
  'npm install'(tarballs, work, env) {
    const folder = projectIn(work);
    execFileSync('npm', [...INSTALL, ...tarballs], { cwd: folder, env });
    const { packages } = JSON.parse(readFileSync(join(folder, 'package-lock.json'), 'utf8'));
    return used(folder, countOf(Object.keys(packages)), env, [join(folder, 'node_modules/.bin/downslope')]);
  },
  'npm install -g'(tarballs, work, env) {
    const folder = projectIn(work);
    const prefix = join(folder, 'global');
    execFileSync('npm', [...INSTALL, '--global', '--prefix', prefix, ...tarballs], { cwd: folder, env });
    const packages = readdirSync(prefix, { recursive: true, encoding: 'utf8' })
      .filter((name) => /node_modules[\\/](?:@[^\\/]+[\\/])?[^\\/@]+[\\/]package\.json$/.test(name))
      .map((name) => name.replace(/[\\/]package\.json$/, ''));
    return used(folder, countOf(packages), env, [join(prefix, 'bin/downslope')]);
  },
  npx(tarballs, work, env) {
    const folder = projectIn(work);
    const packages = tarballs.flatMap((tarball) => ['--package', tarball]);
    // The cache of npx is in the folder, so that the cache is removed too.
    const own = { ...env, npm_config_cache: join(folder, 'cache') };
    return used(folder, undefined, own, ['npx', '--yes', ...packages, 'downslope']);
  },
};

function projectIn(work: string): string {
  const folder = mkdtempSync(join(work, 'project-'));
  writeFileSync(join(folder, 'package.json'), '{ "name": "a-project", "private": true, "type": "module" }');
  return folder;
}

const countOf = (packages: readonly string[]): number =>
  packages.filter((name) => name !== '' && !PLUGINS.some((own) => name.endsWith(own))).length;

function used(
  folder: string,
  packages: number | undefined,
  env: NodeJS.ProcessEnv,
  [command, ...first]: readonly string[],
): Installed {
  return {
    folder,
    packages,
    run: (...args) => spawnSync(command, [...first, ...args], { cwd: folder, env, encoding: 'utf8' }),
  };
}

/** Checks of an installation, which throw on failure. */
export const CHECKS: Readonly<Record<string, (installed: Installed) => void>> = {
  start({ run }) {
    const { stdout, stderr } = run('--version');
    match(stdout, /^\d+\.\d+\.\d+\n$/, stderr);
  },
  demo({ run }) {
    const { status, stdout, stderr } = run('demo', 'lake');
    equal(status, 0, stderr);
    ok(stdout.includes('lake/report.html: open it in a browser'), stdout);
  },
  'plugin by path'(installed) {
    const { folder, run } = installed;
    inputsIn(folder);
    mkdirSync(join(folder, 'own'), { recursive: true });
    const path = 'own/wave-shelter.ts';
    copyFileSync(join(ROOT, 'fixtures/plugins/wave-shelter.ts'), join(folder, path));
    writeFileSync(
      join(folder, path),
      readFileSync(join(folder, path), 'utf8').replace('../../shared/index.ts', 'downslope'),
    );
    const { status, stderr } = run('enrich', 'marks.gpx', ...SOUNDINGS, '--plugin', `./${path}`);
    equal(status, 0, stderr);
    ok(Number(tableIn(folder).wave_shelter_exposure) >= 0, stderr);
  },
  'plugin by name'({ folder, run }) {
    inputsIn(folder);
    const plugins = PLUGINS.flatMap((name) => ['--plugin', name]);
    const own = ['--drifts', 'drifts', '--noted-word.surest', '1', '--json'];
    const { status, stderr } = run(
      'enrich',
      'marks.gpx',
      ...['--soundings', 'book.lead', '--table', 'table.csv', '--force'],
      ...own,
      ...plugins,
    );
    equal(status, 0, stderr);
    const { depth_ft, structure } = tableIn(folder);
    // The depth at the mark is two fathoms and two feet.
    ok(Math.abs(Number(depth_ft) - 14) < 0.5, depth_ft);
    equal(structure, 'point');
    ok(stderr.includes('"code":"plugin/refined"'), stderr);
    ok(
      readFileSync(join(folder, 'drifts/drifts.gpx'), 'utf8').includes('<name>A drift</name>'),
      'drifts of A',
    );
  },
};

const SOUNDINGS = ['--soundings', 'plane.csv', '--table', 'table.csv', '--force'];

/** Writes a mark on a plane that deepens eastward, with soundings as a table and as a lead-line book. */
function inputsIn(folder: string): void {
  const mark = { name: 'A', lat: 45.1, lon: -93.2, comment: 'point, fish 10-14 ft' };
  writeFileSync(join(folder, 'marks.gpx'), gpxOf([mark]));
  const rows = Array.from({ length: 400 }, (_, i) => {
    const [east, north] = [i % 20, Math.floor(i / 20)];
    return { place: [45.1 + (north - 10) * 5e-5, -93.2 + (east - 10) * 5e-5], feet: Math.round(east / 5) };
  });
  const book = rows.map(({ place, feet }) => `${place.join(' ')} 2 fm ${feet} ft`);
  writeFileSync(join(folder, 'book.lead'), `LEAD LINE BOOK\n${book.join('\n')}\n`);
  const table = rows.map(({ place, feet }) => `${place.join()},${12 + feet}`);
  writeFileSync(join(folder, 'plane.csv'), `lat,lon,depth_ft\n${table.join('\n')}\n`);
}

/** Reads the single row of the written table. */
function tableIn(folder: string): Record<string, string> {
  const lines = readFileSync(join(folder, 'table.csv'), 'utf8').split('\n');
  const [header, row] = lines.map((line) => line.split(','));
  return Object.fromEntries(header.map((name, at) => [name, row[at]]));
}

/** Runs a script that imports the packages in the project's folder. @param node The Node executable. */
export function importedIn({ folder }: Installed, node = process.execPath): void {
  const program =
    "import { enrich } from 'downslope'; import { runPlugin } from 'downslope/testing'; import { notedWord } from 'brush-refiner'; const { faults, spots } = await runPlugin(notedWord); console.log(typeof enrich, faults.length, spots.length);";
  const said = execFileSync(node, ['--input-type=module', '-e', program], { cwd: folder, encoding: 'utf8' });
  equal(said.trim(), 'function 0 1');
}
