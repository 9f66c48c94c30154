import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { measureProcess } from './measure-process.ts';

const ROOT = resolve(import.meta.dirname, import.meta.url.endsWith('.ts') ? '../..' : '../../..');
const PROGRAM = join(ROOT, 'dist/program/cli.js');

type Print = (line: string) => void;

/** Ridges, humps and holes some 100 m apart, on a slope, m. */
const bottom = {
  depth: (east: number, north: number): number =>
    12 +
    0.004 * north +
    2.5 * Math.sin(east / 31) * Math.cos(north / 43) +
    1.5 * Math.tanh(4 * Math.sin(east / 90 + north / 140)),
};

/** Rounds of water of so many km2; the third is that of 2.2 by 2.2 km. */
const AREAS = [1.21, 2.42, 4.84, 19.4];
const SPACING = 25;

/** The lake stage on whole runs of `downslope lake`: against the area, and the next evening. */
export const section = {
  name: 'whole-lake',
  async run(print: Print): Promise<void> {
    const folder = mkdtempSync(join(tmpdir(), 'downslope-bench-'));
    try {
      for (const area of AREAS) {
        const log = writeLog(folder, `lake-${area}`, area);
        print(`${area} km2, passes ${SPACING} m apart, logs read before`);
        await lake([log], print, 'reading and lake');
        await lake([log], print, 'tiles from the store');
        const next = writeLog(folder, `next-${area}`, 0.02);
        await lake([log, next], print, 'next evening: 2 ha more');
      }
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  },
};

async function lake(logs: readonly string[], print: Print, what: string): Promise<void> {
  const { wallSeconds, peakMiB } = await measureProcess(process.execPath, [PROGRAM, 'lake', ...logs]);
  print(`  ${what.padEnd(26)}${wallSeconds.toFixed(2).padStart(7)} s ${peakMiB.toFixed(0).padStart(6)} MiB`);
}

/** A day's log over a round of so many km2. */
function writeLog(folder: string, name: string, area: number): string {
  const radius = 1000 * Math.sqrt(area / Math.PI);
  const local = simulateSurvey(bottom, { seed: 7, spacing: SPACING, radius, heading: 10 });
  const { count, time, lat, lon, depth } = toSoundings(local, 37, -86);
  const rows = Array.from(
    { length: count },
    (_, k) => `${time[k].toFixed(1)},${lat[k].toFixed(7)},${lon[k].toFixed(7)},${depth[k].toFixed(2)}\n`,
  );
  const path = join(folder, `${name}.csv`);
  writeFileSync(path, `time,lat,lon,depth_m\n${rows.join('')}`);
  return path;
}
