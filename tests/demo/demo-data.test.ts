import { describe, expect, test } from 'vitest';
import { LAKE_ORIGIN, LAKE_SIZE, makeDemoLake } from '../../fixtures/demo/demo-lake.ts';
import { demoFiles } from '../../fixtures/demo/make-demo.ts';
import { DEMO_MARKS } from '../../fixtures/demo/marks.ts';
import { SONAR_DAYS, waterLevel } from '../../fixtures/demo/sonar-plan.ts';
import { METERS_PER } from '../../shared/contract/units.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';

const lake = makeDemoLake();
const files = demoFiles(lake);
const frame = localFrame(LAKE_ORIGIN.lat, LAKE_ORIGIN.lon);

interface Row {
  readonly time: number;
  readonly east: number;
  readonly north: number;
  /** Depth, m. */
  readonly depth: number;
}

/** Reads the rows of a day's log, with positions in m from the corner of the lake. */
function rowsOf(name: string): Row[] {
  const [, ...lines] = (files.get(name) ?? '').trimEnd().split('\n');
  return lines.map((line) => {
    const [time, lat, lon, depth] = line.split(',');
    const [east, north] = frame.toLocal(Number(lat), Number(lon));
    return { time: Date.parse(time) / 1000, east, north, depth: Number(depth) * METERS_PER.ft };
  });
}

const days = SONAR_DAYS.map((day) => ({ day, rows: rowsOf(`sonar/${day.file}`) }));

describe('demo data', () => {
  test('is generated with the same bytes every time', () => {
    expect(demoFiles()).toEqual(files);
  });

  test('has about 60,000 soundings in three days of practice', () => {
    const count = days.reduce((sum, { rows }) => sum + rows.length, 0);
    expect(count).toBeGreaterThan(57_000);
    expect(count).toBeLessThan(63_000);
  });

  test('has 40 waypoints with different names, all on water', () => {
    const practice = files.get('practice.gpx') ?? '';
    expect(practice.match(/<wpt /g)).toHaveLength(40);
    expect(new Set(DEMO_MARKS.map(({ name }) => name)).size).toBe(40);
    for (const { east, north } of DEMO_MARKS) expect(lake.depth(east, north)).toBeGreaterThan(1.5);
  });

  test('has soundings in order of time, twice a second while the boat idles', () => {
    for (const { rows } of days) {
      const gaps = rows.slice(1).map(({ time }, i) => time - rows[i].time);
      expect(Math.min(...gaps)).toBe(0.5);
      expect(gaps.filter((gap) => gap > 0.5).length).toBeLessThan(0.01 * gaps.length);
    }
  });

  test("logged depths match the known bottom at the day's level, except for lost bottom, second echoes and a stray fix", () => {
    for (const { rows } of days) {
      const errors = rows.map(
        ({ time, east, north, depth }) => depth - (lake.depth(east, north) + waterLevel(time)),
      );
      const lost = rows.filter(({ depth }) => depth === 0).length;
      const far = errors.filter((error) => Math.abs(error) > 1.5).length;
      expect(lost).toBeGreaterThan(5);
      expect(lost).toBeLessThan(60);
      expect(far - lost).toBeLessThan(80);
      const sorted = errors.map(Math.abs).sort((a, b) => a - b);
      expect(sorted[Math.floor(sorted.length / 2)]).toBeLessThan(0.15);
    }
  });
});

describe('demo lake', () => {
  test('water is enclosed by land except at the head of the lake', () => {
    for (let north = 0; north <= LAKE_SIZE.height; north += 10) expect(lake.depth(0, north)).toBeLessThan(0);
    for (let east = 0; east <= LAKE_SIZE.width; east += 10) {
      expect(lake.depth(east, 0)).toBeLessThan(0);
      expect(lake.depth(east, LAKE_SIZE.height)).toBeLessThan(0);
    }
  });

  test('the channel deepens from the head of the lake to the dam', () => {
    const deepest = [1900, 1500, 1050, 600, 200].map((east) => {
      let most = 0;
      for (let north = 0; north <= LAKE_SIZE.height; north += 4)
        most = Math.max(most, lake.depth(east, north));
      return most;
    });
    for (let i = 1; i < deepest.length; i++) expect(deepest[i]).toBeGreaterThan(deepest[i - 1]);
    expect(deepest[0]).toBeGreaterThan(2);
    expect(deepest[4]).toBeLessThan(16);
  });
});
