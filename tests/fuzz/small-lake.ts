import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The built program, next to the compiled tests. */
const PROGRAM = fileURLToPath(new URL('../../program/cli.js', import.meta.url));
/** Maximum duration of a run, ms. */
const PATIENCE = 120_000;

export const runIn = (
  lake: string,
  args: readonly string[],
  env: NodeJS.ProcessEnv = {},
): { readonly status: number | null; readonly stderr: string } =>
  spawnSync(process.execPath, [PROGRAM, ...args], {
    cwd: lake,
    encoding: 'utf8',
    env: { ...process.env, ...env },
    timeout: PATIENCE,
  });

/**
 * Starts the program in its own process group, so that the program can be killed with its children.
 *
 * @param cpuSeconds Maximum CPU time of each process, s, enforced by the system; standard output is then
 * piped.
 */
export const startIn = (
  lake: string,
  args: readonly string[],
  env: NodeJS.ProcessEnv = {},
  cpuSeconds?: number,
): ChildProcess =>
  spawn(
    cpuSeconds === undefined ? process.execPath : 'sh',
    [
      ...(cpuSeconds === undefined
        ? []
        : ['-c', `ulimit -t ${cpuSeconds}; exec "$0" "$@"`, process.execPath]),
      PROGRAM,
      ...args,
    ],
    {
      cwd: lake,
      env: { ...process.env, ...env },
      stdio: ['ignore', cpuSeconds === undefined ? 'ignore' : 'pipe', 'pipe'],
      detached: true,
    },
  );

/** Returns the contents of all files below a folder by path, without the store and records of batch jobs. */
export function filesOf(folder: string): Map<string, string> {
  const files = new Map<string, string>();
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    const path = join(entry.parentPath, entry.name);
    const name = path.slice(folder.length + 1);
    if (entry.isFile() && !/\.downslope(?:\/|-job)/.test(name)) files.set(name, readFileSync(path, 'latin1'));
  }
  return files;
}

/** Replaces times, which differ between runs. */
export const plain = (text: string | undefined): string | undefined =>
  text?.replace(/\d{4}-\d\d-\d\dT[\d:.]+Z?/g, 'TIME');

export const gpxOf = (...marks: readonly string[]): string =>
  `<?xml version="1.0"?>\n<gpx version="1.1" creator="fuzz" xmlns="http://www.topografix.com/GPX/1/1">\n${marks.join('')}</gpx>\n`;

/**
 * Formats a mark at 40 degrees plus `lat`; with an offset of 0, the mark lies among the soundings of `logOf`.
 */
export const markOf = (name: string, lat: number, lonOffset = 0): string =>
  `<wpt lat="${(40 + lat).toFixed(6)}" lon="${(-89.99925 + lonOffset).toFixed(6)}"><name>${name}</name><cmt>12 ft</cmt></wpt>\n`;

/** Formats a CSV log of eastward passes over a slope. `seed` is added to the depths in decimeters. */
export function logOf(rows: number, seed = 0): string {
  const lines = Array.from({ length: rows }, (_, i) => {
    const [pass, step] = [Math.floor(i / 50), i % 50];
    return `${1_760_000_000 + i},${(40 + pass * 3e-5).toFixed(6)},${(-90 + step * 3e-5).toFixed(6)},${(3 + pass / 5 + seed / 10).toFixed(2)}`;
  });
  return `time,lat,lon,depth_m\n${lines.join('\n')}\n`;
}

/** Creates a folder and writes files into it, by path. */
export function writeFiles(folder: string, files: Readonly<Record<string, string>>): void {
  for (const [name, text] of Object.entries(files)) {
    const path = join(folder, name);
    mkdirSync(join(path, '..'), { recursive: true });
    writeFileSync(path, text);
  }
}

/** Returns the enriched GPX of a mark among `rows` soundings, made in a folder of its own. */
export function makeEnriched(parent: string, rows: number): string {
  const folder = join(parent, 'enriched');
  writeFiles(folder, { 'marks.gpx': gpxOf(markOf('Point', 0.0006)), 'logs/log.csv': logOf(rows) });
  const { status, stderr } = runIn(folder, ['enrich', 'marks.gpx', '--soundings', 'logs']);
  if (status !== 0) throw new Error(`An undisturbed run ends with ${status}: ${stderr}`);
  return readFileSync(join(folder, 'marks.enriched.gpx'), 'utf8');
}
