import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { bigLakeGpx, writeBigLog } from '../../fixtures/lakes/big-lake.ts';
import { makeFolder, runProgram, write } from '../cli/run-program.ts';

/** Number of rows that make a log of three parts, which threads can share. */
const ROWS = 450_000;
/** Number of waypoints, more than the 40 that are worked out before threads start. */
const WAYPOINTS = 81;
/** Half the width of the lake, m. */
const HALF = 400;

describe('a run over threads', () => {
  const folder = makeFolder();
  const log = join(folder, 'log.csv');
  writeBigLog(log, ROWS, 4, HALF);
  const waypoints = write(folder, 'marks.gpx', bigLakeGpx(WAYPOINTS, 5, HALF));

  const outputsOf = (workers: number): string[] => {
    const [gpx, table, geojson] = ['gpx', 'csv', 'geojson'].map((name) =>
      join(folder, `out-${workers}.${name}`),
    );
    const outputs = ['--out', gpx, '--table', table, '--geojson', geojson, '--no-store', '--json'];
    const inputs = ['enrich', waypoints, '--soundings', log, '--date', '2026-09-10'];
    const { status, stderr, stdout } = runProgram([...inputs, ...outputs, '--workers', String(workers)]);
    expect(status, stderr).toBe(0);
    return [...[gpx, table, geojson].map((path) => readFileSync(path, 'utf8')), stdout, stderr].map((text) =>
      text.replaceAll(`out-${workers}.`, 'out.'),
    );
  };

  test('gives the same bytes for 1 and 3 workers', () => {
    const one = outputsOf(1);
    expect(one[1].trimEnd().split('\n')).toHaveLength(WAYPOINTS + 1);
    expect(outputsOf(3)).toEqual(one);
  });
});
