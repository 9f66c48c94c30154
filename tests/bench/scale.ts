import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { bigLakeGpx, writeBigLog } from '../../fixtures/lakes/big-lake.ts';
import type { Section } from '../sections.ts';
import { writeLakeFile } from './gpx.ts';
import { measureProcess } from './measure-process.ts';

const ROOT = resolve(import.meta.dirname, import.meta.url.endsWith('.ts') ? '../..' : '../../..');
const PROGRAM = join(ROOT, 'dist/program/cli.js');

/** An input that grows, with sizes that double. */
interface Growth {
  readonly unit: string;
  readonly sizes: readonly number[];
  /** Creates the inputs in a folder. @returns Arguments of the run. */
  readonly make: (folder: string, size: number) => readonly string[];
}

/** Number of track points per MB. */
const POINTS = 10_000;
const MARKS_OF_TRACKS = 200;
const ROWS_OF_LOG = 500;
const ROWS_OF_LAKE = 200;
const ROWS_OF_MARKS = 200_000;
const MARKS_OF_LOGS = 20;
const STORED = ['--force', '--quiet'];

const GROWTHS: Readonly<Record<string, Growth>> = {
  gpx: {
    unit: 'MB of GPX',
    sizes: [50, 100, 200],
    make(folder, size) {
      const file = join(folder, 'tracks.gpx');
      writeLakeFile(file, size * POINTS, MARKS_OF_TRACKS);
      return ['enrich', file, '--soundings', smallLog(folder), ...STORED];
    },
  },
  'gpx-logs': {
    unit: 'MB of GPX as a log',
    sizes: [50, 100, 200],
    make(folder, size) {
      const file = join(folder, 'tracks.gpx');
      writeLakeFile(file, size * POINTS, MARKS_OF_TRACKS);
      return ['check', '--soundings', file, '--depth-unit', 'm'];
    },
  },
  logs: {
    unit: 'logs',
    sizes: [500, 1000, 2000],
    make(folder, size) {
      const logs = join(folder, 'logs');
      mkdirSync(logs);
      for (let k = 0; k < size; k++) writeBigLog(join(logs, `day${k}.csv`), ROWS_OF_LOG, k + 1);
      return ['enrich', marksFile(folder, MARKS_OF_LOGS), '--soundings', logs, ...STORED];
    },
  },
  lakes: {
    unit: 'lakes',
    sizes: [125, 250, 500],
    make(folder, size) {
      const lakes = Array.from({ length: size }, (_, k) => join(folder, `lake${k}`));
      for (const [k, lake] of lakes.entries()) {
        mkdirSync(join(lake, 'logs'), { recursive: true });
        writeBigLog(join(lake, 'logs/day.csv'), ROWS_OF_LAKE, k + 1);
        marksFile(lake, 1);
      }
      return ['batch', ...lakes];
    },
  },
  marks: {
    unit: 'marks',
    sizes: [5000, 10_000, 20_000],
    make(folder, size) {
      const log = join(folder, 'log.csv');
      writeBigLog(log, ROWS_OF_MARKS, 1);
      const table = join(folder, 'table.csv');
      return ['enrich', marksFile(folder, size), '--soundings', log, '--table', table, ...STORED];
    },
  },
};

function smallLog(folder: string): string {
  const log = join(folder, 'log.csv');
  writeBigLog(log, ROWS_OF_LOG, 1);
  return log;
}

function marksFile(folder: string, count: number): string {
  const file = join(folder, 'marks.gpx');
  writeFileSync(file, bigLakeGpx(count, 1));
  return file;
}

/** Prints the time and memory of a first run and of an identical second run, at one size. */
async function measure({ unit, make }: Growth, size: number, print: (line: string) => void): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'downslope-scale-'));
  try {
    const args = make(folder, size);
    for (const run of ['first run', 'again']) {
      const { wallSeconds, cpuSeconds, peakMiB } = await measureProcess(process.execPath, [PROGRAM, ...args]);
      print(
        `  ${`${size} ${unit}, ${run}`.padEnd(38)}${wallSeconds.toFixed(1).padStart(7)} s, CPU ${cpuSeconds.toFixed(1).padStart(6)} s, ${((1000 * cpuSeconds) / size).toFixed(1).padStart(7)} ms each, ${peakMiB.toFixed(0).padStart(5)} MiB`,
      );
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/**
 * Sections `scale-WHAT-SIZE`, which show how time and memory grow with each kind of input. Figures of a batch
 * include the runs that the batch starts.
 */
export const sections: Readonly<Record<string, Section>> = Object.fromEntries(
  Object.entries(GROWTHS).flatMap(([name, growth]) =>
    growth.sizes.map((size) => [
      `scale-${name}-${size}`,
      { name: `scale-${name}-${size}`, run: (print: (line: string) => void) => measure(growth, size, print) },
    ]),
  ),
);
