import { existsSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import type { Diagnostic, Survey } from '../../shared/contract/index.ts';
import { byFormKind } from '../../shared/lake/count-forms.ts';
import { modelRounds } from '../../shared/lake/lake-model.ts';
import { runLakeRounds } from '../../src/run/model-lake.ts';
import { openTileStore } from '../../src/run/store/tile-store.ts';
import { Pool } from '../../src/run/threads/pool.ts';

const hump = (east: number, north: number): number => 9 - 5 * Math.exp(-(east ** 2 + north ** 2) / 1250);
/** Returns a survey of the hump, moved east by `east` m. */
const part = (seed: number, east: number): Survey => {
  const local = simulateSurvey({ depth: hump }, { seed, spacing: 20, radius: 70, heading: 0, noise: 0.03 });
  return toSoundings({ ...local, east: local.east.map((e) => e + east) }, 37, -86) as Survey;
};
const both = (...parts: readonly Survey[]): Survey => ({
  ...parts[0],
  count: parts.reduce((sum, { count }) => sum + count, 0),
  lat: Float64Array.from(parts.flatMap(({ lat }) => [...lat])),
  lon: Float64Array.from(parts.flatMap(({ lon }) => [...lon])),
  depth: Float32Array.from(parts.flatMap(({ depth }) => [...depth])),
  pass: Int32Array.from(parts.flatMap(({ pass }, k) => [...pass].map((number) => 1000 * k + number))),
  weight: Float32Array.from(parts.flatMap(({ weight }) => [...weight])),
});
const evening = both(part(1, 0), part(2, 1500));
const nextEvening = both(evening, part(3, 1500));

const logIn = (folder: string): string => join(folder, 'log.csv');

async function model(survey: Survey, folder?: string) {
  const said: Diagnostic[] = [];
  const counts = { asked: 0, known: 0 };
  const opened = folder === undefined ? undefined : openTileStore(logIn(folder), (each) => said.push(each));
  const store = opened && {
    ...opened,
    find(task: Parameters<typeof opened.find>[0]) {
      const found = opened.find(task);
      counts.asked++;
      if (found !== undefined) counts.known++;
      return found;
    },
  };
  const lake = await runLakeRounds(modelRounds(survey), new Pool(1), store);
  await store?.close();
  return { lake: lake!, said, counts };
}

describe('lake tiles in the store', () => {
  test('on the next evening only tiles that were sounded again are solved, and the lake is the same', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'tiles-'));
    await model(evening, folder);
    const again = await model(evening, folder);
    expect(again.counts.known).toBe(again.counts.asked);
    const next = await model(nextEvening, folder);
    expect(next.counts.known).toBeGreaterThanOrEqual(next.counts.asked / 3);
    expect(next.counts.known).toBeLessThan(next.counts.asked);
    const without = await model(nextEvening);
    expect(next.lake).toEqual({
      ...without.lake,
      grid: { ...without.lake.grid, frame: next.lake.grid.frame },
    });
    expect(next.said).toEqual([]);
  });

  test('damaged tiles are solved again, with a message', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'tiles-'));
    const whole = await model(evening, folder);
    const path = join(folder, '.downslope', 'lake.tiles');
    const bytes = readFileSync(path);
    bytes[bytes.length >> 1] ^= 1;
    writeFileSync(path, bytes);
    const { lake, said, counts } = await model(evening, folder);
    expect(said.map(({ code }) => code)).toEqual(['store/rebuilt']);
    expect(counts.known).toBe(0);
    expect(lake.grid.depth).toEqual(whole.lake.grid.depth);
  });

  test('a lake that is too large for the store is not stored, and a message says so', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'tiles-'));
    const said: Diagnostic[] = [];
    const store = openTileStore(logIn(folder), (each) => said.push(each));
    store.find({
      lattice: { columns: 0, rows: 0, cell: 5 },
      draws: [],
      counted: byFormKind(() => new Int32Array()),
    });
    store.keep(new Float32Array(2 ** 26));
    await store.close();
    expect(said.map(({ code }) => code)).toEqual(['store/not-written']);
    expect(said[0].message).toMatch(/257 MiB.*are stored\)\.$/);
    expect(existsSync(join(folder, '.downslope', 'lake.tiles'))).toBe(false);
  });

  test('a folder in place of the stored tiles is left alone', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'tiles-'));
    mkdirSync(join(folder, '.downslope', 'lake.tiles'), { recursive: true });
    const { said } = await model(part(1, 0), folder);
    expect(said.map(({ severity }) => severity)).not.toContain('error');
    expect(said.length).toBeGreaterThan(0);
  });
});
