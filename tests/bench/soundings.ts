import {
  closeSync,
  mkdtempSync,
  openSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { writeBigLog } from '../../fixtures/lakes/big-lake.ts';
import { despike } from '../../plugins/despike.ts';
import { passes } from '../../plugins/passes.ts';
import { positionJumps } from '../../plugins/position-jumps.ts';
import { reduceBlocks } from '../../plugins/reduce-blocks.ts';
import type { SoundingLog } from '../../shared/contract/soundings.ts';
import { planPipeline } from '../../shared/engine/plan-pipeline.ts';
import { runLogSteps } from '../../shared/engine/run-logs.ts';
import { indexSurvey } from '../../shared/survey/survey-index.ts';
import { fileSource } from '../../src/formats/csv/byte-source.ts';
import { defaultReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { readSource } from '../../src/formats/csv/sounding-logs.ts';

const ROWS = 2_000_000;
const ROUNDS = 3;
/** Size of the large log, bytes, which repeats the rows of the log of the other rounds. */
const LARGE_BYTES = 2e9;

/**
 * Measures reading and reducing logs in one thread: the best of three rounds by user CPU time, and peak
 * memory.
 */
export const section = {
  name: 'soundings',
  async run(print: (line: string) => void): Promise<void> {
    const folder = mkdtempSync(join(tmpdir(), 'downslope-soundings-'));
    try {
      const log = join(folder, 'log.csv');
      writeBigLog(log, ROWS, 1);
      await readings(folder, log, print);
      await reductions(log, print);
      await large(folder, log, print);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  },
};

async function readings(folder: string, log: string, print: (line: string) => void): Promise<void> {
  const forms: [what: string, file: string][] = [['clean, ISO times, five columns', log]];
  for (const [name, change] of CHANGES) {
    const file = join(folder, `${name.replace(/\W+/g, '-')}.csv`);
    writeFileSync(file, change(readFileSync(log, 'utf8').slice(0, 12_000_000)));
    forms.push([name, file]);
  }
  for (const [what, file] of forms) {
    let best = 0;
    for (let round = 0; round < ROUNDS; round++) {
      const start = process.cpuUsage();
      const rows = await readAll(file);
      best = Math.max(best, rows / process.cpuUsage(start).user);
    }
    print(`  read ${what.padEnd(44)} ${best.toFixed(2)} M rows/s of user CPU`);
  }
}

/** Changes to the log that make the fast scanner leave rows to the tolerant reader. */
const CHANGES: readonly (readonly [string, (text: string) => string])[] = [
  [
    'one row in 50 without depth',
    (text) => everyLine(text, (line, i) => (i % 50 === 1 ? line.replace(/,[^,]*,([^,]*)$/, ',,$1') : line)),
  ],
  [
    'decimal commas and semicolons',
    (text) => everyLine(text, (line) => line.replaceAll(',', ';').replace(/(\d)\.(\d)/g, '$1,$2')),
  ],
  [
    'date and time in two columns',
    (text) =>
      everyLine(text, (line, i) => (i === 0 ? line.replace('time', 'date,time') : line.replace('T', ','))),
  ],
  [
    'quoted notes',
    (text) =>
      everyLine(text, (line, i) => `${line},${i === 0 ? 'note' : i % 10 === 0 ? '"a ""b"", c"' : '"a, c"'}`),
  ],
];

const everyLine = (text: string, change: (line: string, i: number) => string): string =>
  `${text.slice(0, text.lastIndexOf('\n')).split('\n').map(change).join('\n')}\n`;

async function readAll(file: string): Promise<number> {
  const reading = readSource(await fileSource(file), defaultReaderOptions(), () => {});
  let rows = 0;
  let next = await reading.next();
  while (!next.done) {
    rows += next.value.count;
    next = await reading.next();
  }
  return rows;
}

async function reductions(log: string, print: (line: string) => void): Promise<void> {
  const plugins = [positionJumps, despike, passes, reduceBlocks];
  const pipeline = planPipeline(plugins);
  const seconds = new Map<string, number>();
  let blocks = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const spent = new Map<string, number>();
    const reading = readSource(await fileSource(log), defaultReaderOptions(), () => {});
    blocks = 0;
    for (let next = await reading.next(); !next.done; next = await reading.next()) {
      let part: SoundingLog = next.value;
      for (const step of pipeline.log) {
        const start = process.cpuUsage();
        const { soundings } = runLogSteps(part, [step], () => {});
        spent.set(step.plugin.name, (spent.get(step.plugin.name) ?? 0) + process.cpuUsage(start).user / 1e6);
        part = { ...part, ...soundings };
      }
      blocks += part.count;
    }
    for (const [name, s] of spent)
      seconds.set(name, Math.min(seconds.get(name) ?? Number.POSITIVE_INFINITY, s));
  }
  for (const [name, s] of seconds) print(`  ${name.padEnd(49)} ${((s / ROWS) * 1e9).toFixed(0)} ns per row`);
  const count = 300_000;
  const survey = {
    count,
    lat: Float64Array.from({ length: count }, (_, i) => 45 + ((i * 7919) % count) * 1e-7),
    lon: Float64Array.from({ length: count }, (_, i) => -93 + ((i * 104_729) % count) * 1e-7),
  };
  let best = Number.POSITIVE_INFINITY;
  for (let round = 0; round < ROUNDS; round++) {
    const start = process.cpuUsage();
    indexSurvey(survey);
    best = Math.min(best, process.cpuUsage(start).user / 1e6);
  }
  print(`  ${ROWS} rows make ${blocks} blocks; index of 300,000: ${(best * 1000).toFixed(0)} ms`);
}

async function large(folder: string, log: string, print: (line: string) => void): Promise<void> {
  const file = join(folder, 'large.csv');
  const body = readFileSync(log);
  const rows = body.subarray(body.indexOf(10) + 1);
  writeFileSync(file, body);
  const size = statSync(file).size;
  const handle = openSync(file, 'a');
  for (let at = size; at < LARGE_BYTES; at += rows.length) writeSync(handle, rows);
  closeSync(handle);
  let peak = 0;
  let count = 0;
  const start = performance.now();
  const reading = readSource(await fileSource(file), defaultReaderOptions(), () => {});
  for (let next = await reading.next(); !next.done; next = await reading.next()) {
    count += next.value.count;
    peak = Math.max(peak, process.memoryUsage.rss());
  }
  const seconds = (performance.now() - start) / 1000;
  print(
    `  ${(statSync(file).size / 1e9).toFixed(2)} GB, ${(count / 1e6).toFixed(1)} M rows in ${seconds.toFixed(1)} s, peak ${(peak / 2 ** 20).toFixed(0)} MiB`,
  );
}
