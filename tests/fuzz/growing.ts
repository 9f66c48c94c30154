import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { seededRandom } from '../../shared/math/statistics.ts';
import { LOG_CHANGES, ROWS } from './log-changes.ts';
import { gpxOf, logOf, markOf, plain, runIn, writeFiles } from './small-lake.ts';

/** Module that changes a log while the program reads it. */
const CHANGER = new URL('./change-at.js', import.meta.url).href;
const ENRICH = ['enrich', 'marks.gpx', '--soundings', 'logs', '--workers', '1', '--force'];

/**
 * Changes logs while they are read: table and GPX of the next run must equal those of a run without a store.
 */
export const section = {
  name: 'growing',
  standard: 100,
  run(count: number, seed: number, print: (line: string) => void): Promise<void> {
    return growing(count, seededRandom(seed), print);
  },
};

async function growing(count: number, random: () => number, print: (line: string) => void): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'downslope-growing-'));
  const makeLake = (): void => {
    rmSync(folder, { recursive: true });
    writeFiles(folder, {
      'marks.gpx': gpxOf(markOf('Point', 0.0006)),
      'logs/a.csv': logOf(ROWS),
      'logs/b.csv': logOf(1000),
    });
  };
  makeLake();
  const { chunks } = readWhile(folder, '');
  if (!(chunks > 2)) throw new Error('The reading of the log was not seen.');
  const names = Object.keys(LOG_CHANGES);
  const wholes = new Map<string, readonly (string | undefined)[]>();
  let said = 0;
  let failed = 0;
  for (let round = 0; round < count; round++) {
    makeLake();
    const name = names[round % names.length];
    const moment = 1 + Math.floor(chunks * random());
    if (readWhile(folder, `${name} ${moment}`).isSaid) said++;
    const next = outputsOf(folder, 'next');
    // The final files do not depend on the moment of the change, so one such run is enough.
    const whole = wholes.get(name) ?? outputsOf(folder, 'whole', '--no-store');
    wholes.set(name, whole);
    for (const [i, kind] of ['table', 'GPX'].entries()) {
      if (next[i] === whole[i]) continue;
      failed++;
      print(`FAILED ${round}: ${name} after ${moment} of ${chunks} chunks, the ${kind} differs.`);
    }
  }
  rmSync(folder, { recursive: true });
  print(
    `${count} runs with a log changed at one of ${chunks} moments: ${said} reported the change; ${failed} outputs of the next runs differ`,
  );
  if (failed > 0) process.exitCode = 1;
}

/**
 * Runs `enrich` and changes a log meanwhile. @returns Number of its chunks read, and whether the run reports
 * the change.
 */
function readWhile(folder: string, change: string): { readonly chunks: number; readonly isSaid: boolean } {
  const { stderr } = runIn(folder, ENRICH, { NODE_OPTIONS: `--import ${CHANGER}`, LOG_CHANGE: change });
  return {
    chunks: Number(/chunks read: (\d+)/.exec(stderr)?.[1]),
    isSaid: /soundings\/changed|store\/log-changed|a log changed during the run/.test(stderr),
  };
}

/** Returns the table and the enriched GPX of a complete run. */
function outputsOf(folder: string, name: string, ...args: readonly string[]): (string | undefined)[] {
  const paths = [`${name}.csv`, `${name}.gpx`];
  const { status, stderr } = runIn(folder, [...ENRICH, '--table', paths[0], '--out', paths[1], ...args]);
  if (status !== 0) throw new Error(`A run to its end gives ${status}: ${stderr}`);
  return paths.map((path) => plain(readFileSync(join(folder, path), 'utf8')));
}
