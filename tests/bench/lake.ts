import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { bigLakeGpx, bigLakePlaces, writeBigLog } from '../../fixtures/lakes/big-lake.ts';
import { measureProcess, median, type ProcessFigures } from './measure-process.ts';

const ROOT = resolve(import.meta.dirname, import.meta.url.endsWith('.ts') ? '../..' : '../../..');
const PROGRAM = join(ROOT, 'dist/program/cli.js');
const PEER = join(ROOT, 'tests/bench/peer.py');
const TRIANGULATION = join(ROOT, 'tests/bench/triangulation.py');
/** A second peer, used if present, which fits all waypoints at once. */
const SECOND_PEER = join(ROOT, '../shared/bench/peer.py');
const ROUNDS = 3;
/** Plugins that a run for slope and aspect does without. */
const BEYOND_SLOPE = ['structure', 'lake-place', 'fish-band', 'magnetic', 'cast', 'next-angles'];

type Print = (line: string) => void;

/**
 * Measures whole runs on a synthetic lake: time and memory by rows and by waypoints, and beside those of the
 * peers.
 */
export const section = {
  name: 'lake',
  async run(print: Print): Promise<void> {
    const folder = mkdtempSync(join(tmpdir(), 'downslope-bench-'));
    try {
      await logPath(folder, print);
      await againstPeer(folder, print);
      await practiceDay(folder, print);
      await nextEvening(folder, print);
      await costModel(folder, print);
      await costOfTies(folder, print);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  },
};

/** Returns the command-line arguments of one run, by default without a store. */
function enrichArgs(
  folder: string,
  waypoints: string,
  logs: readonly string[],
  more: readonly string[] = ['--no-store'],
): string[] {
  const out = ['--out', join(folder, 'out.gpx'), '--table', join(folder, 'out.csv'), '--force', '--quiet'];
  return [PROGRAM, 'enrich', waypoints, '--soundings', ...logs, ...out, '--date', '2026-09-10', ...more];
}

const runProgram = (args: readonly string[]): Promise<ProcessFigures> =>
  measureProcess(process.execPath, args);

function waypointFile(folder: string, count: number): string {
  const path = join(folder, `waypoints-${count}.gpx`);
  writeFileSync(path, bigLakeGpx(count, 2));
  return path;
}

function logFile(folder: string, rows: number, seed = 1): string {
  const path = join(folder, `log-${rows}-${seed}.csv`);
  if (!existsSync(path)) writeBigLog(path, rows, seed);
  return path;
}

/** Finds a Python that has the packages. */
const findPython = (packages: string): string | undefined =>
  ['python3', '/usr/bin/python3'].find(
    (python) => spawnSync(python, ['-c', `import ${packages}`]).status === 0,
  );

/** Writes the waypoints in the form that peers read. */
function placesFile(folder: string, count: number): string {
  const path = join(folder, `waypoints-${count}.csv`);
  const rows = bigLakePlaces(count, 2).map(({ name, lat, lon }) => `${name},${lat},${lon}\n`);
  writeFileSync(path, `name,lat,lon\n${rows.join('')}`);
  return path;
}

async function againstPeer(folder: string, print: Print): Promise<void> {
  const [log, waypoints] = [logFile(folder, 5_000_000), waypointFile(folder, 2000)];
  const places = placesFile(folder, 2000);
  const python = findPython('pandas, scipy');
  const peers = python === undefined ? [] : [PEER, SECOND_PEER].filter(existsSync);
  const ofPeers = peers.map((): ProcessFigures[] => []);
  const slope: ProcessFigures[] = [];
  const all: ProcessFigures[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    for (const [i, peer] of peers.entries())
      ofPeers[i].push(await measureProcess(python ?? '', [peer, log, places, join(folder, 'peer.csv')]));
    const without = ['--no-store', '--without', BEYOND_SLOPE.join(',')];
    slope.push(await runProgram(enrichArgs(folder, waypoints, [log], without)));
    all.push(await runProgram(enrichArgs(folder, waypoints, [log])));
  }
  print(`5,000,000 soundings, 2,000 waypoints, cold; median of ${ROUNDS} interleaved runs`);
  if (python === undefined) print('  (peers skipped: no Python with pandas and scipy)');
  const [base, second] = ofPeers;
  if (base !== undefined) print(figureLine('peer, slope and aspect', base, base));
  print(figureLine('slope and aspect only', slope, base));
  print(figureLine('everything on', all, base));
  if (second === undefined) return;
  print(figureLine('second peer', second, second));
  print(figureLine('slope and aspect only', slope, second));
  print(figureLine('everything on', all, second));
}

function figureLine(what: string, runs: readonly ProcessFigures[], peer?: readonly ProcessFigures[]): string {
  const seconds = median(runs.map(({ wallSeconds }) => wallSeconds));
  const peak = median(runs.map(({ peakMiB }) => peakMiB));
  const line = `  ${what.padEnd(32)}${seconds.toFixed(2).padStart(7)} s ${peak.toFixed(0).padStart(6)} MiB`;
  if (peer === undefined) return line;
  const ratio = median(runs.map(({ wallSeconds }, round) => wallSeconds / peer[round].wallSeconds));
  const memory = peak / median(peer.map(({ peakMiB }) => peakMiB));
  return `${line}   ${ratio.toFixed(2)} of the peer's time, ${memory.toFixed(2)} of its memory`;
}

async function practiceDay(folder: string, print: Print): Promise<void> {
  const log = logFile(folder, 345_600);
  const args = enrichArgs(folder, waypointFile(folder, 240), [log]);
  const python = findPython('numpy, scipy');
  const peer = [TRIANGULATION, log, placesFile(folder, 240), join(folder, 'peer.csv')];
  const ofPeer: ProcessFigures[] = [];
  const runs: ProcessFigures[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    if (python !== undefined) ofPeer.push(await measureProcess(python, peer));
    runs.push(await runProgram(args));
  }
  print(`345,600 soundings, 240 waypoints, cold; median of ${ROUNDS} interleaved runs`);
  if (python === undefined) print('  (peer skipped: no Python with numpy and scipy)');
  else print(figureLine('peer, triangulation', ofPeer, ofPeer));
  print(figureLine('everything on', runs, python === undefined ? undefined : ofPeer));
}

/**
 * Compares the next evening with the first, for 100 waypoints and for one. With one, the work on waypoints,
 * which is the same on both evenings, hardly counts.
 */
async function nextEvening(folder: string, print: Print): Promise<void> {
  const [old, fresh] = [logFile(folder, 5_000_000), logFile(folder, 36_000, 3)];
  const store: readonly string[] = ['--without', BEYOND_SLOPE.join(',')];
  print('the next evening: one new log of 36,000 rows beside 5,000,000 stored ones, slope and aspect');
  for (const count of [100, 1]) {
    const waypoints = waypointFile(folder, count);
    const first: ProcessFigures[] = [];
    const second: ProcessFigures[] = [];
    for (let round = 0; round < ROUNDS; round++) {
      rmSync(join(folder, '.downslope'), { recursive: true, force: true });
      first.push(await runProgram(enrichArgs(folder, waypoints, [old], store)));
      second.push(await runProgram(enrichArgs(folder, waypoints, [old, fresh], store)));
    }
    const ratio = median(second.map(({ wallSeconds }, round) => wallSeconds / first[round].wallSeconds));
    const what = `${count} waypoint${count === 1 ? '' : 's'}`;
    print(figureLine(`first run, ${what}`, first));
    print(`${figureLine(`second run, ${what}`, second)}   ${ratio.toFixed(2)} of the first run's time`);
  }
}

/**
 * Measures the time from the bytes of a log to the finished survey: a run with one waypoint minus the same
 * run on a log of 100 rows.
 */
async function logPath(folder: string, print: Print): Promise<void> {
  const waypoints = waypointFile(folder, 1);
  const [log, short] = [logFile(folder, 5_000_000), logFile(folder, 100)];
  const run = (file: string, workers: number) =>
    runProgram(
      enrichArgs(
        folder,
        waypoints,
        [file],
        ['--no-store', '--workers', `${workers}`, '--without', BEYOND_SLOPE.join(',')],
      ),
    );
  print('5,000,000 soundings, one waypoint, slope and aspect, cold: reading, log and survey stage, index');
  for (const workers of [1, 2]) {
    const whole: ProcessFigures[] = [];
    const bare: ProcessFigures[] = [];
    for (let round = 0; round < ROUNDS; round++) {
      bare.push(await run(short, workers));
      whole.push(await run(log, workers));
    }
    const more = median(whole.map(({ wallSeconds }, round) => wallSeconds - bare[round].wallSeconds));
    const threads = `${workers} thread${workers === 1 ? '' : 's'}`;
    print(`${figureLine(threads, whole)}   ${more.toFixed(2)} s more than with 100 soundings`);
  }
}

/** Reads the median distance between passes from the table of the last run, ft. */
function spacingOf(folder: string): string {
  const [head, ...rows] = readFileSync(join(folder, 'out.csv'), 'utf8').trimEnd().split('\n');
  const column = head.split(',').indexOf('pass_spacing_ft');
  return median(rows.map((row) => Number(row.split(',')[column])).filter((feet) => feet > 0)).toFixed(0);
}

/** Prints time and memory by rows, with the resulting pass spacing, and by waypoints. */
async function costModel(folder: string, print: Print): Promise<void> {
  print('by rows, 100 waypoints, everything on');
  for (const rows of [300_000, 1_000_000, 5_000_000, 20_000_000]) {
    const log = logFile(folder, rows);
    const run = await runProgram(enrichArgs(folder, waypointFile(folder, 100), [log]));
    print(`${figureLine(`${rows / 1e6} M rows`, [run])}   passes ${spacingOf(folder)} ft apart`);
    if (rows > 5_000_000) rmSync(log);
  }
  print('by waypoints, 1,000,000 rows, everything on');
  for (const count of [100, 500, 2000, 5000])
    print(
      figureLine(`${count} waypoints`, [
        await runProgram(enrichArgs(folder, waypointFile(folder, count), [logFile(folder, 1_000_000)])),
      ]),
    );
}

/** Prints the share of a run that the ties between files and days take. */
async function costOfTies(folder: string, print: Print): Promise<void> {
  print(
    `CPU time of a cold run with 240 waypoints, and its share for ties between files and days; median of ${ROUNDS} interleaved runs`,
  );
  const waypoints = waypointFile(folder, 240);
  for (const rows of [300_000, 1_000_000, 5_000_000]) {
    const logs = [logFile(folder, rows / 2), logFile(folder, rows / 2, 2)];
    const [whole, without]: number[][] = [[], []];
    for (let round = 0; round < ROUNDS; round++) {
      whole.push((await runProgram(enrichArgs(folder, waypoints, logs))).cpuSeconds);
      without.push(
        (await runProgram(enrichArgs(folder, waypoints, logs, ['--no-store', '--without', 'ties'])))
          .cpuSeconds,
      );
    }
    const [all, rest] = [median(whole), median(without)];
    print(
      `  ${rows.toLocaleString('en-US').padStart(9)} soundings  ${all.toFixed(1)} s, ties ${((100 * (all - rest)) / all).toFixed(1)} % (goal under 10 %)`,
    );
  }
}
