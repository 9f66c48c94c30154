import { spawnSync } from 'node:child_process';
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

/** Path of the built program, for tests run as source or compiled. */
export const PROGRAM = resolve(
  import.meta.dirname.replace(/[\\/]dist(?=[\\/]tests)/, ''),
  '../../dist/program/cli.js',
);

/** Flags for tests that need no structure and no casts, which a run spends half its time on. */
export const WITHOUT_CASTS = ['--without', 'structure,lake-place,cast,next-angles'] as const;
/** Flags for tests that need no bottom, no structure and no casts. */
export const WITHOUT_MODELS = ['--without', `bottom,${WITHOUT_CASTS[1]}`] as const;

export interface ProgramResult {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs the built program as a user would. */
export function runProgram(
  args: readonly string[],
  options: { cwd?: string; env?: NodeJS.ProcessEnv; input?: string; timeout?: number } = {},
): ProgramResult {
  const { status, stdout, stderr } = spawnSync(process.execPath, [PROGRAM, ...args], {
    encoding: 'utf8',
    cwd: options.cwd,
    env: { ...process.env, ...options.env },
    input: options.input,
    timeout: options.timeout,
    maxBuffer: 1 << 28,
  });
  return { status, stdout, stderr };
}

/** Makes an empty folder. */
export const makeFolder = (): string => mkdtempSync(join(tmpdir(), 'downslope-test-'));

export function write(folder: string, name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

/** Returns a GPX file with waypoints at the given positions. */
export function gpxOf(
  places: readonly { name: string; lat: number; lon: number; comment?: string }[],
): string {
  const waypoints = places.map(
    ({ name, lat, lon, comment }) =>
      `  <wpt lat="${lat}" lon="${lon}">\n    <name>${name}</name>\n${comment === undefined ? '' : `    <cmt>${comment}</cmt>\n`}  </wpt>\n`,
  );
  return `<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">\n${waypoints.join('')}</gpx>\n`;
}
