import {
  appendFileSync,
  mkdtempSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  truncateSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { seededRandom } from '../../shared/math/random.ts';
import { gpxOf, logOf, markOf, plain, runIn, startIn, writeFiles } from './small-lake.ts';

/** Rows of a log before it is changed; it takes a good part of a run to read them. */
const ROWS = 8000;
/** What may happen to a log while it is read. */
const CHANGES: Readonly<Record<string, (file: string) => void>> = {
  replaced: (file) => {
    writeFileSync(`${file}.part`, logOf(ROWS, 1));
    renameSync(`${file}.part`, file);
  },
  'written over with its old time': (file) => {
    const { atime, mtime } = statSync(file);
    writeFileSync(file, logOf(ROWS, 2));
    utimesSync(file, atime, mtime);
  },
  appended: (file) => appendFileSync(file, logOf(ROWS + 500).slice(logOf(ROWS).length)),
  truncated: (file) => truncateSync(file, logOf(ROWS / 2).length),
};
const ENRICH = ['enrich', 'marks.gpx', '--soundings', 'logs', '--workers', '1', '--force'];

/** Logs changed at any moment of a run: the table and the GPX of the next run are those of a run without a store. */
export const section = {
  name: 'growing',
  standard: 100,
  run(count: number, seed: number, print: (line: string) => void): Promise<void> {
    return growing(count, seededRandom(seed), print);
  },
};

async function growing(count: number, random: () => number, print: (line: string) => void): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'downslope-growing-'));
  const log = join(folder, 'logs/a.csv');
  const makeLake = (): void => {
    rmSync(folder, { recursive: true });
    writeFiles(folder, {
      'marks.gpx': gpxOf(markOf('Point', 0.0006)),
      'logs/a.csv': logOf(ROWS),
      'logs/b.csv': logOf(1000),
    });
  };
  makeLake();
  const started = performance.now();
  outputsOf(folder, 'whole');
  const milliseconds = performance.now() - started;
  const names = Object.keys(CHANGES);
  const wholes = new Map<string, readonly (string | undefined)[]>();
  const tally = { said: 0, silent: 0 };
  let failed = 0;
  for (let round = 0; round < count; round++) {
    makeLake();
    const name = names[round % names.length];
    const moment = milliseconds * random();
    const isSaid = await changedAt(folder, moment, () => CHANGES[name](log));
    tally[isSaid ? 'said' : 'silent']++;
    const next = outputsOf(folder, 'next');
    // The same for every moment: the files are the same when all has happened.
    const whole = wholes.get(name) ?? outputsOf(folder, 'whole', '--no-store');
    wholes.set(name, whole);
    for (const [i, kind] of ['table', 'GPX'].entries()) {
      if (next[i] === whole[i]) continue;
      failed++;
      print(`FAILED ${round}: ${name} after ${moment.toFixed(0)} ms, the ${kind} differs.`);
    }
  }
  rmSync(folder, { recursive: true });
  print(
    `${count} logs changed during a run of ${milliseconds.toFixed(0)} ms: ${tally.said} said, ${tally.silent} before or after the reading; ${failed} of the next runs differ`,
  );
  if (failed > 0) process.exitCode = 1;
}

/** Runs, and changes a log meanwhile. @returns True when the run says so. */
async function changedAt(folder: string, milliseconds: number, change: () => void): Promise<boolean> {
  const child = startIn(folder, ENRICH);
  let said = '';
  child.stderr?.setEncoding('utf8').on('data', (text: string) => {
    said += text;
  });
  const ended = new Promise((resolve) => child.on('close', resolve));
  const timer = new Promise<void>((resolve) =>
    setTimeout(() => {
      change();
      resolve();
    }, milliseconds),
  );
  await Promise.all([timer, ended]);
  return /log-changed|changed while it was read/.test(said);
}

/** Table and enriched GPX of a run to its end. */
function outputsOf(folder: string, name: string, ...args: readonly string[]): (string | undefined)[] {
  const paths = [`${name}.csv`, `${name}.gpx`];
  const { status, stderr } = runIn(folder, [...ENRICH, '--table', paths[0], '--out', paths[1], ...args]);
  if (status !== 0) throw new Error(`A run to its end gives ${status}: ${stderr}`);
  return paths.map((path) => plain(readFileSync(join(folder, path), 'utf8')));
}
