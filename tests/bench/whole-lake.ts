import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import type { Soundings } from '../../shared/contract/index.ts';
import { modelRounds } from '../../shared/lake/index.ts';
import { runLakeRounds } from '../../src/run/model-lake.ts';
import { openTileStore } from '../../src/run/store/tile-store.ts';
import { Pool } from '../../src/run/threads/pool.ts';
import { measureProcess } from './measure-process.ts';

const ROOT = resolve(import.meta.dirname, import.meta.url.endsWith('.ts') ? '../..' : '../../..');
const PROGRAM = join(ROOT, 'dist/program/cli.js');

type Print = (line: string) => void;

/** A slope with ridges, humps and holes about 100 m apart; depth in m. */
const bottom = {
  depth: (east: number, north: number): number =>
    12 +
    0.004 * north +
    2.5 * Math.sin(east / 31) * Math.cos(north / 43) +
    1.5 * Math.tanh(4 * Math.sin(east / 90 + north / 140)),
};

/** Surveyed areas, km2; the third is that of a lake of 2.2 by 2.2 km. */
const AREAS = [1.21, 2.42, 4.84, 19.4];
const SPACING = 25;
/** Area added on the next evening, km2. */
const MORE = 0.02;
const WORKERS = 2;

/**
 * Measures the lake stage alone, by area and on the next evening, and whole runs of `downslope lake`, which
 * also read the logs.
 */
export const section = {
  name: 'whole-lake',
  async run(print: Print): Promise<void> {
    const folder = mkdtempSync(join(tmpdir(), 'downslope-bench-'));
    try {
      for (const area of AREAS) {
        print(`${area} km2, passes ${SPACING} m apart`);
        await stages(folder, area, print);
        const log = writeLog(folder, `lake-${area}`, day(area));
        await lake([log], print, 'run: reading and lake');
        await lake([log], print, 'run: all from the store');
        const next = writeLog(folder, `next-${area}`, day(MORE));
        await lake([log, next], print, 'run: next evening');
      }
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  },
};

/**
 * Runs the stage alone on soundings in memory: with an empty store, with a full store, and with more
 * soundings.
 */
async function stages(folder: string, area: number, print: Print): Promise<void> {
  const pool = new Pool(WORKERS);
  const own = join(folder, `stage-${area}`);
  mkdirSync(own);
  const stage = async (what: string, soundings: Soundings): Promise<void> => {
    const [began, cpu] = [performance.now(), process.cpuUsage()];
    const store = openTileStore(join(own, 'log.csv'), ({ code }) => print(code));
    await runLakeRounds(modelRounds(soundings), pool, store);
    await store.close();
    const { user, system } = process.cpuUsage(cpu);
    const wall = (performance.now() - began) / 1000;
    const peak = process.resourceUsage().maxRSS / 1024;
    print(row(`stage: ${what}`, wall, peak, (user + system) / 1e6));
  };
  await stage('from nothing', day(area));
  await stage('all from the store', day(area));
  await stage('next evening, 2 ha more', joined(day(area), day(MORE)));
  await pool.close();
}

async function lake(logs: readonly string[], print: Print, what: string): Promise<void> {
  const { wallSeconds, peakMiB, cpuSeconds } = await measureProcess(process.execPath, [
    PROGRAM,
    'lake',
    ...logs,
    '--workers',
    String(WORKERS),
  ]);
  print(row(what, wallSeconds, peakMiB, cpuSeconds));
}

const row = (what: string, wall: number, peak: number, cpu: number): string =>
  `  ${what.padEnd(32)}${wall.toFixed(2).padStart(7)} s, CPU ${cpu.toFixed(2).padStart(6)} s ${peak.toFixed(0).padStart(6)} MiB`;

/** Simulates a day's soundings over an area, km2. */
function day(area: number): Soundings {
  const radius = 1000 * Math.sqrt(area / Math.PI);
  return toSoundings(simulateSurvey(bottom, { seed: 7, spacing: SPACING, radius, heading: 10 }), 37, -86);
}

function joined(one: Soundings, other: Soundings): Soundings {
  const join = <K extends 'lat' | 'lon' | 'depth' | 'weight'>(name: K): Float64Array =>
    Float64Array.from([...one[name], ...other[name]]);
  return {
    ...one,
    count: one.count + other.count,
    lat: join('lat'),
    lon: join('lon'),
    depth: Float32Array.from(join('depth')),
    weight: Float32Array.from(join('weight')),
    pass: Int32Array.from([...one.pass, ...other.pass.map((pass) => -1 - pass)]),
  };
}

function writeLog(folder: string, name: string, { count, time, lat, lon, depth }: Soundings): string {
  const rows = Array.from(
    { length: count },
    (_, k) => `${time[k].toFixed(1)},${lat[k].toFixed(7)},${lon[k].toFixed(7)},${depth[k].toFixed(2)}\n`,
  );
  const path = join(folder, `${name}.csv`);
  writeFileSync(path, `time,lat,lon,depth_m\n${rows.join('')}`);
  return path;
}
