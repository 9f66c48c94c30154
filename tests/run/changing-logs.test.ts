import { appendFileSync, renameSync, statSync, truncateSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { type Diagnostic, Refusal, type Survey } from '../../shared/contract/index.ts';
import { defaultReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { runPipeline } from '../../src/run/run-pipeline.ts';
import { makeFolder } from '../cli/run-program.ts';

const EMPTY = { reader: [], log: [], survey: [], waypoint: [], plan: [], writer: [], fields: [] };
const ROWS = 8000;

/** Returns a log with one depth throughout, of the same length for every depth with one digit. */
const logOf = (depth: number, rows = ROWS): string => {
  const row = (i: number): string =>
    `${(40 + (i % 1000) * 1e-5).toFixed(6)},${(-90 + Math.floor(i / 1000) * 1e-5).toFixed(6)},${depth}.0`;
  return `lat,lon,depth_m\n${Array.from({ length: rows }, (_, i) => row(i)).join('\n')}\n`;
};

/** Number of moments at which a log is changed, spread over the time of the shortest run so far. */
const MOMENTS = 25;

interface Run {
  readonly survey?: Survey;
  readonly said: readonly Diagnostic[];
}

/** Reads two logs. `act` is called after `wait` ms, unless the run has ended. */
async function read(
  logFiles: readonly string[],
  useStore: boolean,
  act = (): void => {},
  wait = 0,
): Promise<Run> {
  const said: Diagnostic[] = [];
  const job = {
    pipeline: EMPTY,
    sources: new Map(),
    logFiles,
    readerOptions: defaultReaderOptions(),
    waypoints: [],
    workers: 1,
    patience: 10,
    useStore,
    keepInternals: false,
  };
  const hooks = { report: (d: Diagnostic) => void said.push(d), progress: () => {} };
  const timer = setTimeout(act, wait);
  try {
    const { survey } = await runPipeline(job as never, hooks);
    return { survey, said };
  } catch (cause) {
    if (!(cause instanceof Refusal)) throw cause;
    return { said };
  } finally {
    clearTimeout(timer);
  }
}

const CHANGES: Readonly<Record<string, (file: string) => void>> = {
  replaced: (file) => {
    writeFileSync(`${file}.new`, logOf(6));
    renameSync(`${file}.new`, file);
  },
  'overwritten with its old modification time': (file) => {
    const { atime, mtime } = statSync(file);
    writeFileSync(file, logOf(6));
    utimesSync(file, atime, mtime);
  },
  appended: (file) => appendFileSync(file, '40.5,-90.5,6.0\n'),
  truncated: (file) => truncateSync(file, logOf(5, ROWS / 2).length),
};

describe('a log that is changed while a run reads it', () => {
  test.each(Object.entries(CHANGES))('%s: the store never keeps the old soundings', async (_, change) => {
    let shortest = Number.POSITIVE_INFINITY;
    let changes = 0;
    for (let moment = 0; moment < MOMENTS; moment++) {
      const start = performance.now();
      const [a, b] = newLake();
      const act = (): void => {
        change(a);
        changes++;
      };
      await read([a, b], true, act, moment === 0 ? 0 : (moment / MOMENTS) * shortest);
      shortest = Math.min(shortest, performance.now() - start);
      const next = await read([a, b], true);
      expect(next.said.filter(({ severity }) => severity !== 'note')).toEqual([]);
      const whole = await read([a, b], false);
      expect(depthsOf(next), `moment ${moment}`).toBe(depthsOf(whole));
    }
    expect(changes).toBeGreaterThan(MOMENTS / 2);
  });
});

/** Returns the number of soundings of each depth, as text to compare. */
function depthsOf({ survey }: Run): string {
  const depths = survey?.depth ?? [];
  const counts = new Map<number, number>();
  for (const depth of depths) counts.set(depth, (counts.get(depth) ?? 0) + 1);
  return JSON.stringify([...counts].sort());
}

function newLake(): string[] {
  const folder = makeFolder();
  return ['a.csv', 'b.csv'].map((name) => {
    const file = join(folder, name);
    writeFileSync(file, logOf(5));
    return file;
  });
}
