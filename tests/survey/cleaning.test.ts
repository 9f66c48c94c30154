import { describe, expect, test } from 'vitest';
import { despike } from '../../plugins/despike.ts';
import { draftOffset } from '../../plugins/draft-offset.ts';
import { passes } from '../../plugins/passes.ts';
import { positionJumps } from '../../plugins/position-jumps.ts';
import { reduceBlocks } from '../../plugins/reduce-blocks.ts';
import { soundSpeedPlugin } from '../../plugins/sound-speed.ts';
import { soundSpeed } from '../../shared/survey/sound-speed.ts';
import { fileSource } from '../../src/formats/csv/byte-source.ts';
import { defaultReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { readSource } from '../../src/formats/csv/sounding-logs.ts';
import { reference } from '../reference.ts';
import { type MadeRow, makeLog, makeNoise, runOnLog, straightRun } from './make-log.ts';

/** Makes a run over a slope of 1 % with 2 cm of noise. */
function gentle(count: number, changes: Partial<Parameters<typeof straightRun>[0]> = {}): MadeRow[] {
  const noise = makeNoise(7);
  return straightRun({ count, depth: (way) => 5 + way * 0.01 + 0.02 * noise(), ...changes });
}

const change = (rows: readonly MadeRow[], at: number, to: (row: MadeRow) => MadeRow, length = 1): MadeRow[] =>
  rows.map((row, i) => (i >= at && i < at + length ? to(row) : row));

describe('position-jumps', () => {
  test('up to 10 agreeing fixes that the boat cannot have reached are dropped', () => {
    for (const length of [1, 4, 10]) {
      const rows = change(gentle(60), 20, ([e, n, d, t]) => [e + 3000, n, d, t], length);
      expect(runOnLog(positionJumps, makeLog(rows)).dropped).toEqual({
        'position-jump': Array.from({ length }, (_, i) => 20 + i),
      });
    }
  });

  test('more than 10 fixes that agree are a real place', () => {
    const rows = gentle(60).map(([e, n, d, t], i): MadeRow => (i < 30 ? [e, n, d, t] : [e + 3000, n, d, t]));
    expect(runOnLog(positionJumps, makeLog(rows)).dropped).toEqual({});
  });

  test('stray fixes at the start or at the end are dropped', () => {
    const start = change(gentle(60), 0, ([e, n, d, t]) => [e - 4000, n, d, t], 6);
    expect(runOnLog(positionJumps, makeLog(start)).dropped).toEqual({ 'position-jump': [0, 1, 2, 3, 4, 5] });
    const end = change(gentle(60), 57, ([e, n, d, t]) => [e - 4000, n, d, t], 3);
    expect(runOnLog(positionJumps, makeLog(end)).dropped).toEqual({ 'position-jump': [57, 58, 59] });
  });

  test('a trailer ride between two lakes is not a jump', () => {
    const rows = [...gentle(40), ...gentle(40, { east: 30_000, time: 1.7e9 + 3600 })];
    expect(runOnLog(positionJumps, makeLog(rows)).dropped).toEqual({});
  });

  test('rows with equal times are judged by distance alone', () => {
    const rows = gentle(60).map(([e, n, d]): MadeRow => [e, n, d, 1.7e9]);
    expect(runOnLog(positionJumps, makeLog(rows)).dropped).toEqual({});
  });

  test('a track across the 180th meridian has no jump', () => {
    const log = makeLog(gentle(60, { bearing: 90, east: -15 }), 52, 180);
    expect(Math.min(...log.lon)).toBeLessThan(-179);
    expect(Math.max(...log.lon)).toBeGreaterThan(179);
    expect(runOnLog(positionJumps, log).dropped).toEqual({});
    expect(new Set(runOnLog(passes, log).change.columns?.pass)).toEqual(new Set([0]));
    const { lon } = runOnLog(reduceBlocks, log).change.reduced!;
    expect(lon.every((value) => Math.abs(value) > 179.9)).toBe(true);
  });

  test('steps near a pole are measured in meters as anywhere', () => {
    const log = makeLog(gentle(60, { bearing: 90 }), 89.9995, 10);
    expect(runOnLog(positionJumps, log).dropped).toEqual({});
    expect(new Set(runOnLog(passes, log).change.columns?.pass)).toEqual(new Set([0]));
    const blocks = runOnLog(reduceBlocks, log).change.reduced!;
    expect(blocks.count).toBeGreaterThan(8);
    expect(blocks.count).toBeLessThan(16);
    expect(blocks.lat.every(Number.isFinite) && blocks.lon.every(Number.isFinite)).toBe(true);
  });

  test('a fix that stays the same under way is kept once', () => {
    const rows = change(gentle(200), 50, ([, , d, t]) => [0, 25, d, t], 60);
    const { dropped, codes } = runOnLog(positionJumps, makeLog(rows));
    expect(dropped['stale-fix']).toEqual(Array.from({ length: 59 }, (_, i) => 51 + i));
    expect(codes).toContain('stale-fix');
  });

  test('a boat at rest has no stale fixes', () => {
    const rows = gentle(100).map(([, , d], i): MadeRow => [0, 0, d, 1.7e9 + i]);
    expect(runOnLog(positionJumps, makeLog(rows)).dropped).toEqual({});
  });

  test('its switch turns it off', () => {
    const rows = change(gentle(60), 20, ([e, n, d, t]) => [e + 3000, n, d, t]);
    expect(runOnLog(positionJumps, makeLog(rows), { on: false }).change).toEqual({});
  });

  // Lake 227 soundings: Hay, doi 10.5281/zenodo.18237230, CC BY 4.0.
  const real = reference('lake227-soundings.csv');
  test('the six stray fixes of a real log are dropped, and nothing else', async () => {
    const reading = readSource(await fileSource(real), defaultReaderOptions(), () => {});
    const log = (await reading.next()).value as ReturnType<typeof makeLog>;
    expect(log.count).toBe(1039);
    const { dropped, said } = runOnLog(positionJumps, log);
    expect(dropped).toEqual({ 'position-jump': [0, 1, 2, 3, 4, 5] });
    expect(said[0].message).toContain('4438\u00a0m');
    expect((await reading.next()).value).toEqual({ read: 1039, used: 1039, dropped: {} });
  });
});

describe('despike', () => {
  test('a spike among its neighbors is dropped, deep or shallow', () => {
    for (const depth of [1.2, 9]) {
      const rows = change(gentle(60), 30, ([e, n, , t]) => [e, n, depth, t], 2);
      expect(runOnLog(despike, makeLog(rows)).dropped).toEqual({ spike: [30, 31] });
    }
  });

  test('a spike at the very end or start of a pass is dropped too, but a drop-off there is not', () => {
    const end = change(gentle(60), 58, ([e, n, d, t]) => [e, n, 2 * d, t], 2);
    expect(runOnLog(despike, makeLog(end)).dropped).toEqual({ spike: [58, 59] });
    const start = change(gentle(60), 0, ([e, n, d, t]) => [e, n, d / 2, t]);
    expect(runOnLog(despike, makeLog(start)).dropped).toEqual({ spike: [0] });
    const ledge = change(gentle(60), 54, ([e, n, d, t]) => [e, n, d + 4, t], 6);
    expect(runOnLog(despike, makeLog(ledge)).dropped).toEqual({});
  });

  test('a run of 5 or more soundings that agree is bottom', () => {
    const rows = change(gentle(60), 30, ([e, n, , t]) => [e, n, 3.6, t], 5);
    expect(runOnLog(despike, makeLog(rows)).dropped).toEqual({});
  });

  test('a difference of less than 1 m or 20 % is not a spike', () => {
    const rows = change(gentle(60), 30, ([e, n, d, t]) => [e, n, d + 0.9, t]);
    expect(runOnLog(despike, makeLog(rows)).dropped).toEqual({});
  });

  test('bottom that soundings 5 m apart cannot rule out is kept', () => {
    const rows = change(gentle(60, { step: 5 }), 30, ([e, n, d, t]) => [e, n, d - 2.5, t]);
    expect(runOnLog(despike, makeLog(rows)).dropped).toEqual({});
  });

  test('the edge of a drop-off is kept on both sides', () => {
    const rows = straightRun({ count: 80, depth: (way) => (way < 20 ? 4 : 9) });
    expect(runOnLog(despike, makeLog(rows)).dropped).toEqual({});
  });

  test('a run at twice the depth around it is dropped, not halved', () => {
    const rows = change(gentle(120), 40, ([e, n, d, t]) => [e, n, 2 * d, t], 25);
    const { dropped, codes, change: made } = runOnLog(despike, makeLog(rows));
    expect(dropped).toEqual({ 'double-echo': Array.from({ length: 25 }, (_, i) => 40 + i) });
    expect(codes).toEqual(['double-echo']);
    expect(made.columns?.depth).toBeUndefined();
  });

  test.each([2, 3])('a run at 1/%i of the depth is dropped from the mean, and kept as shallowest', (part) => {
    const rows = change(gentle(120), 40, ([e, n, d, t]) => [e, n, d / part, t], 12);
    const log = makeLog(rows);
    const { dropped, codes, change: made } = runOnLog(despike, log);
    expect(dropped['shallow-echo']).toHaveLength(12);
    expect(codes).toEqual(['shallow-echo', 'shallowest']);
    const shallowest = made.columns!.shallowest!;
    const least = Math.min(...log.depth);
    expect(Math.min(...shallowest.filter((_, i) => i < 40 || i >= 52))).toBe(least);
  });

  test('every shallow depth that is dropped is kept as the shallowest of its block', () => {
    const rows = change(gentle(200), 90, ([e, n, , t]) => [e, n, 0.7, t]);
    const log = makeLog(rows);
    const { change: made, dropped } = runOnLog(despike, log);
    const keep = (_: unknown, i: number) => !dropped.spike.includes(i);
    const columns = { ...log, ...made.columns };
    const kept = {
      ...columns,
      count: 199,
      lat: columns.lat.filter(keep),
      lon: columns.lon.filter(keep),
      depth: columns.depth.filter(keep),
      time: columns.time.filter(keep),
      pass: columns.pass.filter(keep),
      weight: columns.weight.filter(keep),
      shallowest: columns.shallowest!.filter(keep),
    };
    const blocks = runOnLog(reduceBlocks, kept).change.reduced!;
    expect(Math.min(...blocks.shallowest)).toBeCloseTo(0.7, 6);
    expect(Math.min(...blocks.depth)).toBeGreaterThan(4.8);
  });

  test('a depth unchanged over more than 50 m is dropped as frozen if the rest varies', () => {
    const rows = change(gentle(600), 200, ([e, n, , t]) => [e, n, 7, t], 140);
    const { dropped, codes } = runOnLog(despike, makeLog(rows));
    expect(dropped['frozen-depth']).toEqual(Array.from({ length: 139 }, (_, i) => 201 + i));
    expect(codes).toContain('frozen-depth');
  });

  test('a depth that comes back in short runs, with no bottom leading to it, is dropped as held', () => {
    const isHeld = (i: number): boolean => Math.floor(i / 12) % 9 === 4;
    const rows = gentle(800).map(([e, n, d, t], i): MadeRow => [e, n, isHeld(i) ? 30 : d, t]);
    const { dropped, said } = runOnLog(despike, makeLog(rows));
    expect(dropped['held-depth']).toEqual(rows.flatMap((_, i) => (isHeld(i) ? [i] : [])));
    const held = said.filter(({ code }) => code === 'soundings/held-depth');
    expect(held.map(({ message }) => message)).toEqual([
      'Rows dropped: the log repeats the depth 30.00\u00a0m in 7 places, about 12 rows each time, so the sonar had lost bottom.',
    ]);
  });

  test('a depth held at most twice, and steps of a terrace, are kept', () => {
    const twice = gentle(400).map(([e, n, d, t], i): MadeRow => [e, n, i % 200 < 12 ? 30 : d, t]);
    const terrace = straightRun({ count: 600, depth: (way) => 5 + 0.4 * Math.floor(way / 6) });
    for (const rows of [twice, terrace])
      expect(runOnLog(despike, makeLog(rows)).dropped['held-depth']).toBeUndefined();
  });

  test('a level bottom read in coarse steps is not dropped as frozen', () => {
    const noise = makeNoise(3);
    const rows = straightRun({
      count: 2000,
      depth: (way) => Math.round((5 + 0.004 * way + 0.02 * noise()) * 3) / 3,
    });
    expect(runOnLog(despike, makeLog(rows)).dropped).toEqual({});
  });

  test('a log that never varies is left alone', () => {
    expect(runOnLog(despike, makeLog(straightRun({ count: 500, depth: () => 5 }))).dropped).toEqual({});
  });

  test.each([0, 1, 2])('a log of %i soundings is left alone', (count) => {
    expect(runOnLog(despike, makeLog(gentle(count))).dropped).toEqual({});
    expect(runOnLog(positionJumps, makeLog(gentle(count))).dropped).toEqual({});
    expect(runOnLog(reduceBlocks, makeLog(gentle(count))).change.reduced?.count).toBe(Math.min(1, count));
  });

  test('its switch turns it off', () => {
    const rows = change(gentle(60), 30, ([e, n, , t]) => [e, n, 1, t]);
    expect(runOnLog(despike, makeLog(rows), { on: false }).change).toEqual({});
  });
});

describe('draft-offset', () => {
  test('draft and offset are added to depth and shallowest, and reported with their sign', () => {
    const log = makeLog(gentle(10));
    const added = runOnLog(draftOffset, log, { draft: 0.4, offset: -0.1 });
    expect(added.change.columns?.depth?.[3]).toBeCloseTo(log.depth[3] + 0.3, 5);
    expect(added.change.columns?.shallowest?.[3]).toBeCloseTo(log.depth[3] + 0.3, 5);
    expect(added.said.map(({ message }) => message)).toEqual([
      '0.40\u00a0m is added to every depth (draft of the transducer).',
      '0.10\u00a0m is taken from every depth (as asked).',
    ]);
  });

  test('without an offset the zero of depths is reported as unknown', () => {
    expect(runOnLog(draftOffset, makeLog(gentle(10))).codes).toEqual(['depth-reference']);
  });

  test('the draft is added unless the log measures depths from elsewhere; missing drafts are asked for', () => {
    const log = makeLog(gentle(10));
    for (const [depthFrom, options, added, codes] of [
      ['surface', {}, 0, []],
      ['surface', { draft: 0.4 }, 0, ['draft-not-added']],
      ['surface', { draft: 0.4, offset: 0.1 }, 0.1, ['draft-not-added', 'depth-offset']],
      ['transducer', {}, 0, ['depth-below-transducer']],
      ['transducer', { draft: 0.4 }, 0.4, ['depth-offset']],
      ['transducer', { draft: 0 }, 0, ['depth-offset']],
      ['transducer', { offset: 0.4 }, 0.4, ['depth-offset']],
      ['keel', {}, 0, ['depth-below-keel']],
      ['keel', { draft: 0.4 }, 0, ['draft-not-added', 'depth-below-keel']],
      ['keel', { offset: 0.7 }, 0.7, ['depth-offset']],
    ] as const) {
      const { change, codes: said } = runOnLog(draftOffset, { ...log, depthFrom }, options);
      expect(said, depthFrom).toEqual(codes);
      expect((change.columns?.depth ?? log.depth)[3] - log.depth[3]).toBeCloseTo(added, 5);
    }
  });

  test('positions move from the antenna to the transducer along the course', () => {
    const log = makeLog(gentle(100, { bearing: 90, step: 1 }));
    const astern = runOnLog(draftOffset, log, { ahead: -4, right: 1 }).change.columns!;
    const perDegree = 78_847; // m per degree of longitude at 45 N on WGS 84
    for (const row of [10, 50, 90]) {
      expect((astern.lon![row] - log.lon[row]) * perDegree).toBeCloseTo(-4, 1);
      expect((astern.lat![row] - log.lat[row]) * 111_131.8).toBeCloseTo(-1, 1);
    }
  });

  test('a boat at rest stays where it is', () => {
    const log = makeLog(gentle(20).map(([, , d], i): MadeRow => [0, 0, d, 1.7e9 + i]));
    expect(runOnLog(draftOffset, log, { ahead: -4 }).change.columns?.lon).toEqual(log.lon);
  });
});

describe('sound-speed', () => {
  // NPL calculator values at 30 C, as published with the three equations.
  test.each([
    ['marczak', 1509.167167748],
    ['bilaniuk-wong', 1509.1513030646952],
  ] as const)('the equation %s gives its published value at 30 C', (equation, speed) => {
    expect(soundSpeed(30, equation)).toBeCloseTo(speed, 6);
  });

  // Bilaniuk & Wong, Marczak, Del Grosso & Mader as tabulated from the papers' coefficients, m/s.
  test.each([
    [0, 1402.385, 1402.387, 1402.388],
    [10, 1447.289, 1447.282, 1447.27],
    [20, 1482.38, 1482.364, 1482.343],
    [25, 1496.728, 1496.711, 1496.687],
  ])('the three equations agree with their tables at %i C', (t, marczak, bilaniuk, delGrosso) => {
    expect(soundSpeed(t, 'marczak')).toBeCloseTo(marczak, 2);
    expect(soundSpeed(t, 'bilaniuk-wong')).toBeCloseTo(bilaniuk, 2);
    expect(soundSpeed(t, 'del-grosso-mader')).toBeCloseTo(delGrosso, 2);
  });

  test('10 m on a sonar set to 1500 m/s are 9.65 m in water of 10 C', () => {
    const log = makeLog([[0, 0, 10, 0, 10]]);
    const { change: made } = runOnLog(soundSpeedPlugin, log, { on: true, assumed: 1500 });
    expect(made.columns?.depth?.[0]).toBeCloseTo(9.6486, 3);
    const given = runOnLog(soundSpeedPlugin, log, { on: true, assumed: 1463.04, temperature: 25 });
    expect(given.change.columns?.depth?.[0]).toBeCloseTo(10.2303, 3);
  });

  test('the shallowest depth is corrected like the mean, by a logged or a given temperature', () => {
    const log = { ...makeLog([[0, 0, 10, 0, 10]]), shallowest: Float32Array.of(4) };
    const logged = runOnLog(soundSpeedPlugin, log, { on: true, assumed: 1500 }).change.columns!;
    expect(logged.shallowest![0]).toBeCloseTo(0.4 * logged.depth![0], 5);
    const given = runOnLog(soundSpeedPlugin, log, { on: true, temperature: 25 }).change.columns!;
    expect(given.shallowest![0]).toBeCloseTo(0.4 * given.depth![0], 5);
  });

  test('an impossible or missing water temperature is replaced with the previous one', () => {
    const log = makeLog([
      [0, 0, 10, 0, 10],
      [0, 1, 10, 1, 180],
      [0, 2, 10, 2],
    ]);
    const { change: made, codes } = runOnLog(soundSpeedPlugin, log, { on: true, assumed: 1500 });
    expect(Array.from(made.columns!.depth!)).toEqual(
      [9.6486, 9.6486, 9.6486].map((d) => expect.closeTo(d, 3)),
    );
    expect(codes).toContain('temperature');
  });

  test('one factor is given only for one temperature', () => {
    const log = makeLog([[0, 0, 10, 0, 10]]);
    const said = (options: object) =>
      runOnLog(soundSpeedPlugin, log, { on: true, ...options }).said[0].message;
    expect(said({})).toMatch(/^Each depth is multiplied .* its logged water temperature, on average 0\.98/);
    expect(said({ temperature: 25 })).toMatch(/^Depths are multiplied by 1\.02.*\(25 C, as given\)/);
  });

  test('it is off unless asked for', () => {
    expect(runOnLog(soundSpeedPlugin, makeLog([[0, 0, 10, 0, 10]])).change).toEqual({});
  });
});

describe('passes', () => {
  const passOf = (rows: readonly MadeRow[], changes = {}) =>
    Array.from(runOnLog(passes, makeLog(rows), changes).change.columns!.pass!);

  test('a gap, a pause and a time that goes back each begin a pass', () => {
    const rows = [
      ...gentle(20),
      ...gentle(20, { north: 35 }),
      ...gentle(20, { north: 45, time: 1.7e9 + 60 }),
      ...gentle(20, { north: 55, time: 1.7e9 }),
    ];
    const pass = passOf(rows);
    expect([pass[0], pass[19], pass[20], pass[39], pass[40], pass[60]]).toEqual([0, 0, 1, 1, 2, 3]);
  });

  test('a turn begins a pass, but a wide curve does not', () => {
    const out = gentle(100);
    const back = gentle(100, { north: 50, east: 6, bearing: 180, time: 1.7e9 + 25 });
    const pass = passOf([...out, ...back]);
    expect(pass[90]).toBe(0);
    expect(pass[120]).toBe(1);
    const curve = Array.from({ length: 400 }, (_, i): MadeRow => {
      const turn = (i * 0.5) / 40;
      return [40 * (1 - Math.cos(turn)), 40 * Math.sin(turn), 5, 1.7e9 + i / 5];
    });
    expect(new Set(passOf(curve)).size).toBe(1);
  });

  test('a log without times is split only by gaps and turns', () => {
    const rows = [...gentle(20), ...gentle(20, { north: 60 })].map(([e, n, d]): MadeRow => [e, n, d]);
    expect(new Set(passOf(rows))).toEqual(new Set([0, 1]));
  });
});

describe('reduce-blocks', () => {
  const reduce = (rows: readonly MadeRow[], changes = {}) =>
    runOnLog(reduceBlocks, makeLog(rows), changes).change.reduced!;

  test('every block is the mean of its soundings, and every sounding is in one block', () => {
    const rows = gentle(1000);
    const blocks = reduce(rows, { length: 2.4 });
    expect(blocks.weight.reduce((sum, w) => sum + w, 0)).toBe(1000);
    expect(blocks.count).toBe(200);
    const total = blocks.depth.reduce((sum, depth, i) => sum + depth * blocks.weight[i], 0);
    expect(total / 1000).toBeCloseTo(rows.reduce((sum, row) => sum + row[2], 0) / 1000, 4);
    expect(blocks.time[0]).toBeCloseTo(1.7e9 + 0.4, 6);
  });

  test('three thousand soundings of a boat at rest give only a few dozen blocks', () => {
    const noise = makeNoise(5);
    const rest = Array.from(
      { length: 3000 },
      (_, i): MadeRow => [1.5 * noise(), 1.5 * noise(), 5, 1.7e9 + i],
    );
    const blocks = reduce([...rest, ...gentle(100, { time: 1.7e9 + 3001, north: 3 })]);
    expect(blocks.count).toBeLessThan(70);
    expect(blocks.weight.reduce((sum, w) => sum + w, 0)).toBe(3100);
  });

  test('the shallowest depth of a block is the minimum of its soundings, not their mean', () => {
    const log = makeLog([0, 0.2, 0.4].map((north, row) => [0, north, [6, 2, 5][row], 1.7e9 + row] as const));
    const { reduced } = runOnLog(reduceBlocks, log).change;
    expect(reduced!.count).toBe(1);
    expect(reduced!.depth[0]).toBeCloseTo(13 / 3, 5);
    expect(reduced!.shallowest[0]).toBe(2);
    expect(reduced!.weight[0]).toBe(3);
  });

  test('a block never contains soundings of two passes', () => {
    const log = makeLog([...gentle(10), ...gentle(10)]);
    log.pass.fill(1, 10);
    const blocks = runOnLog(reduceBlocks, log).change.reduced!;
    expect(Array.from(blocks.pass)).toEqual([0, 0, 1, 1]);
  });

  test('missing times and temperatures are left out of the means', () => {
    const blocks = reduce([
      [0, 0, 5, 100, 20],
      [0, 0.5, 5],
      [0, 1, 5, 102],
    ]);
    expect(blocks.time[0]).toBe(101);
    expect(blocks.temperature![0]).toBe(20);
    expect(reduce([[0, 0, 5]]).time[0]).toBeNaN();
  });
});
