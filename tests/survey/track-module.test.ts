import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Soundings } from '../../shared/contract/soundings.ts';
import { reduceFast, reducePlainly } from '../../shared/survey/blocks.ts';
import { findFast, findPlainly } from '../../shared/survey/echoes.ts';
import { doubtFast, doubtFixes, doubtPlainly, findJumps, findStale } from '../../shared/survey/fixes.ts';
import { meetFast, meetPlainly } from '../../shared/survey/meetings.ts';
import { splitFast, splitPlainly } from '../../shared/survey/passes.ts';
import { trackModule } from '../../shared/survey/track-module.ts';

const ECHOES = { height: 1, share: 0.2, steepest: 45, frozen: 50 };
const PASSES = { gap: 20, pause: 30, turn: 100 };
const JUMPS = { speed: 30.867, jump: 500, agree: 10 };
const STALE = 10;

/** One row after another of a log: how the boat moves, m and s, and what it reads. */
const step = fc.record({
  turn: fc.oneof(
    { weight: 12, arbitrary: fc.double({ min: -0.3, max: 0.3, noNaN: true }) },
    fc.constantFrom(1.6, 3.1),
  ),
  way: fc.oneof(
    { weight: 12, arbitrary: fc.double({ min: 0, max: 3, noNaN: true }) },
    fc.constantFrom(0, 0, 19.9, 25, 900),
  ),
  pause: fc.oneof(
    { weight: 8, arbitrary: fc.constantFrom(0.2, 1) },
    fc.constantFrom(0, 12, 31, -1, Number.NaN),
  ),
  depth: fc.oneof(
    { weight: 6, arbitrary: fc.double({ min: 2, max: 9, noNaN: true }) },
    fc.constantFrom(5, 5, 10, 45),
  ),
  weight: fc.constantFrom(1, 1, 1, 3),
  temperature: fc.constantFrom(20.5, Number.NaN),
  isNewSegment: fc.constantFrom(false, false, false, false, false, false, false, true),
});
type Step = typeof step extends fc.Arbitrary<infer T> ? T : never;

/** A log from its steps, again and again until it is longer than what the module takes at once. */
function logOf(
  steps: readonly Step[],
  times: number,
  start: readonly [number, number],
  warm: boolean,
): Soundings {
  const all = Array.from({ length: times }, () => steps).flat();
  const count = all.length;
  const log = {
    count,
    lat: new Float64Array(count),
    lon: new Float64Array(count),
    depth: Float32Array.from(all, ({ depth }) => depth),
    time: new Float64Array(count),
    pass: new Int32Array(count),
    weight: Float32Array.from(all, ({ weight }) => weight),
    shallowest: Float32Array.from(all, ({ depth, weight }) => depth / weight),
    ...(warm ? { temperature: Float32Array.from(all, ({ temperature }) => temperature) } : {}),
  };
  let [lat, lon] = start;
  let time = 1_780_000_000;
  let course = 1;
  let pass = 0;
  for (const [i, { turn, way, pause, isNewSegment }] of all.entries()) {
    course += turn;
    lat += (way * Math.cos(course)) / 111_000;
    lon += (way * Math.sin(course)) / (111_000 * Math.cos((lat * Math.PI) / 180));
    lon = lon > 180 ? lon - 360 : lon;
    if (!Number.isNaN(pause)) time += pause;
    if (isNewSegment) pass++;
    log.lat[i] = lat;
    log.lon[i] = lon;
    log.time[i] = Number.isNaN(pause) ? pause : time;
    log.pass[i] = pass;
  }
  return log;
}

const log = fc
  .tuple(
    fc.array(step, { minLength: 1, maxLength: 60 }),
    fc.constantFrom(1, 1, 1, 300),
    fc.constantFrom([44.2, -95.4] as const, [-33, 179.9999] as const, [0, 0] as const),
    fc.boolean(),
  )
  .map(([steps, times, start, warm]) => logOf(steps, times, start, warm));

const EMPTY = logOf([], 1, [0, 0], false);

test('the module gives what the plain loops give, to the last bit', () => {
  const module = trackModule();
  if (module === undefined) throw new Error('track.wasm is not built; run npm run build');
  const check = (rows: Soundings): void => {
    expect(findFast(module, rows, ECHOES)).toEqual(findPlainly(rows, ECHOES));
    expect(splitFast(module, rows, PASSES)).toEqual(splitPlainly(rows, PASSES));
    expect(doubtFast(module, rows, JUMPS, STALE)).toEqual(doubtPlainly(rows, JUMPS, STALE));
    for (const length of [0.1, 2.5, 40])
      expect(reduceFast(module, rows, length)).toEqual(reducePlainly(rows, length));
  };
  check(EMPTY);
  fc.assert(fc.property(log, check), { numRuns: 400 });
});

/** The same track with every course turned back after some rows as well, so that it meets itself; each way is a pass. */
const tangled = fc
  .tuple(
    fc.array(step, { minLength: 2, maxLength: 60 }),
    fc.constantFrom(1, 4, 4, 700),
    fc.constantFrom([44.2, -95.4] as const, [-33, 179.9999] as const),
  )
  .map(([steps, times, start]) => {
    const track = logOf(
      steps.map((each, i) => ({ ...each, turn: each.turn + 0.4 * Math.sin(i) })),
      times,
      start,
      false,
    );
    return { ...track, pass: track.pass.map((pass, row) => pass + Math.floor(row / 11)) };
  });

test('the module finds the meetings of passes that the plain loops find, to the last bit', () => {
  const module = trackModule();
  if (module === undefined) throw new Error('track.wasm is not built; run npm run build');
  let meetings = 0;
  const check = (rows: Soundings): void => {
    const found = meetFast(module, rows);
    const plain = meetPlainly(rows);
    for (const name of ['first', 'second', 'along', 'across'] as const)
      expect(Array.from(found[name])).toEqual(plain[name]);
    meetings += found.first.length;
  };
  check(EMPTY);
  fc.assert(fc.property(tangled, check), { numRuns: 100 });
  expect(meetings).toBeGreaterThan(1000);
});

test('fixes in doubt are all that has to be looked at', () => {
  let ordinary = 0;
  let stray = 0;
  fc.assert(
    fc.property(log, (rows) => {
      const { apart, isHeld } = doubtFixes(rows, JUMPS, STALE);
      const stale = findStale(rows, STALE, 0.5);
      if (!isHeld) expect(stale).toEqual([]);
      const all = Array.from({ length: rows.count }, (_, row) => row);
      const found = findJumps(rows, JUMPS, apart, stale);
      expect(found).toEqual(findJumps(rows, JUMPS, all, stale));
      if (apart.length === 0 && !isHeld) ordinary++;
      if (found.rows.length > 0) stray++;
    }),
    { numRuns: 400 },
  );
  expect(ordinary).toBeGreaterThan(20);
  expect(stray).toBeGreaterThan(20);
});
