import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

const LOG = `time,lat,lon,depth_m\n${Array.from({ length: 60 }, (_, i) => `${1_760_000_000 + i},${(40 + i * 1e-5).toFixed(6)},-90.000000,${5 + i / 50}`).join('\n')}\n`;

test('with everything in one folder, outputs of the first evening are not inputs of the next', () => {
  const folder = makeFolder();
  write(folder, 'marks.gpx', gpxOf([{ name: 'A1', lat: 40.0003, lon: -90, comment: 'fish 14-19 ft' }]));
  write(folder, 'log.csv', LOG);
  // A log without usable rows is stored too, and read back from the store.
  write(folder, 'nothing.csv', 'time,lat,lon,depth_m\n');
  const run = (args: readonly string[]) => {
    const { status, stderr } = runProgram([...args, '--date', '2025-10-12'], { cwd: folder });
    expect(status, stderr).toBe(0);
  };
  const table = (): string => readFileSync(join(folder, 'spots.csv'), 'utf8');
  run(['enrich', '.', '--soundings', '.', '--table', 'spots.csv', '--cast-lines', 'casts.gpx']);
  const first = table();
  run(['plan', '.', '--soundings', '.', '--ramp', '40,-90.001', '--gpx', 'day.gpx', '--csv', 'day.csv']);
  run(['check', '.', '--soundings', '.', '--passes', 'tomorrow.gpx']);
  run(['enrich', '.', '--soundings', '.', '--table', 'spots.csv', '--cast-lines', 'casts.gpx', '--force']);
  expect(table()).toBe(first);
  expect(readdirSync(folder).filter((name) => name.includes('enriched'))).toEqual(['marks.enriched.gpx']);
});
