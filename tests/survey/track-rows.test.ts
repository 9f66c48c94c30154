import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Soundings } from '../../shared/contract/soundings.ts';
import { reduceToBlocks } from '../../shared/survey/blocks.ts';
import { allCrossings } from '../../shared/survey/crossings.ts';
import { flatten } from '../../shared/survey/steps.ts';

/** One step of a random log: the boat's turn, rad, its movement, m and s, and its readings. */
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

/** Makes a log that repeats the given steps. */
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

/** A track that winds and so crosses itself; every 11 rows begin a new pass. */
const tangled = fc
  .tuple(
    fc.array(step, { minLength: 2, maxLength: 60 }),
    fc.constantFrom(4, 12, 24),
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

/**
 * Finds the crossings of passes by testing every pair of pieces with the textbook test of two segments.
 *
 * @returns The rows before both pieces of each crossing.
 */
function crossingPairs(rows: Soundings): string[] {
  const { east, north } = flatten(rows);
  const isPiece = (i: number): boolean =>
    rows.pass[i] === rows.pass[i + 1] &&
    Math.max(Math.abs(east[i + 1] - east[i]), Math.abs(north[i + 1] - north[i])) <= 25;
  const side = (a: number, p: number): number =>
    (east[a + 1] - east[a]) * (north[p] - north[a]) - (north[a + 1] - north[a]) * (east[p] - east[a]);
  // An end within rounding error of the other piece touches the piece without crossing it. Area in m^2.
  const isClear = (area: number): boolean => Math.abs(area) > 1e-9;
  const parts = (a: number, b: number): boolean =>
    side(a, b) * side(a, b + 1) < 0 && isClear(side(a, b)) && isClear(side(a, b + 1));
  const pairs: string[] = [];
  for (let a = 0; a + 1 < rows.count; a++)
    for (let b = a + 1; b + 1 < rows.count; b++)
      if (rows.pass[a] !== rows.pass[b] && isPiece(a) && isPiece(b) && parts(a, b) && parts(b, a))
        pairs.push(`${a} ${b}`);
  return pairs;
}

test('`allCrossings` finds every crossing that a test of every pair of pieces finds', () => {
  let meetings = 0;
  fc.assert(
    fc.property(tangled, (rows) => {
      const found = new Set(allCrossings(rows).map(({ first, second }) => `${first} ${second}`));
      const pairs = crossingPairs(rows);
      // Other crossings in `found` are allowed: pieces that touch at an end meet without crossing.
      expect(pairs.filter((pair) => !found.has(pair))).toEqual([]);
      meetings += pairs.length;
    }),
    { numRuns: 400 },
  );
  expect(meetings).toBeGreaterThan(1000);
});

test('blocks keep the weight, the mean depth and the shallowest depth of every pass', () => {
  fc.assert(
    fc.property(log, fc.constantFrom(0.1, 2.5, 40), (rows, length) => {
      const blocks = reduceToBlocks(rows, length);
      const sums = (of: Soundings): Map<number, number[]> => {
        const passes = new Map<number, number[]>();
        for (let i = 0; i < of.count; i++) {
          const sum = passes.get(of.pass[i]) ?? [0, 0, Number.POSITIVE_INFINITY];
          sum[0] += of.weight[i];
          sum[1] += of.weight[i] * of.depth[i];
          sum[2] = Math.min(sum[2], of.shallowest[i]);
          passes.set(of.pass[i], sum);
        }
        return passes;
      };
      const [before, after] = [sums(rows), sums(blocks)];
      expect([...after.keys()]).toEqual([...before.keys()]);
      for (const [pass, [weight, moment, least]] of before) {
        expect(after.get(pass)?.[0]).toBe(weight);
        // Depths of blocks are rounded to 32 bits.
        expect(Math.abs((after.get(pass)?.[1] ?? Number.NaN) - moment)).toBeLessThan(1e-6 * moment);
        expect(after.get(pass)?.[2]).toBe(least);
      }
    }),
    { numRuns: 200 },
  );
});
