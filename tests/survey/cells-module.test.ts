import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Survey } from '../../shared/contract/soundings.ts';
import { cellsFast } from '../../shared/survey/cells/cells-module.ts';
import { cellsPlainly } from '../../shared/survey/survey-index.ts';

/** Tracks of boats that turn, rest, jump and cross, with depths that spike, step, end or are none; passes change now and then. */
const survey = fc
  .record({
    start: fc.constantFrom([44.2, -95.4], [0, 0], [-33, 179.8], [84.9999, 12], [-0.0001, -0.0001]),
    steps: fc.array(
      fc.record({
        north: fc.double({ min: -12, max: 12, noNaN: true }),
        east: fc.double({ min: -12, max: 12, noNaN: true }),
        depth: fc.oneof(
          { weight: 12, arbitrary: fc.double({ min: 4, max: 5, noNaN: true }) },
          fc.double({ min: 0, max: 40, noNaN: true }),
          fc.constantFrom(0, -1, Number.NaN, Number.POSITIVE_INFINITY, 4.6),
        ),
        weight: fc.constantFrom(1, 1, 3, 4, 9.5),
        far: fc.oneof({ weight: 40, arbitrary: fc.constant(0) }, fc.double({ min: -3, max: 3, noNaN: true })),
      }),
      { minLength: 1, maxLength: 150 },
    ),
    passLength: fc.integer({ min: 1, max: 40 }),
    hasFar: fc.boolean(),
  })
  .map(({ start: [lat, lon], steps, passLength, hasFar }): Survey => {
    let north = 0;
    let east = 0;
    const places = steps.map((step) => {
      north += step.north + (hasFar ? step.far * 2000 : 0);
      east += step.east;
      return [lat + north / 111_195, lon + east / 80_000];
    });
    const count = steps.length;
    return {
      count,
      lat: Float64Array.from(places, (place) => place[0]),
      lon: Float64Array.from(places, (place) => place[1]),
      depth: Float32Array.from(steps, ({ depth }) => depth),
      shallowest: Float32Array.from(steps, ({ depth }) => depth),
      weight: Float32Array.from(steps, ({ weight }) => weight),
      pass: Int32Array.from(steps, (_, i) => Math.floor(i / passLength)),
      time: new Float64Array(count),
      log: new Int32Array(count),
      logs: [],
    };
  });

test('cells in WebAssembly are those of the plain form, to the last bit', () => {
  let compared = 0;
  fc.assert(
    fc.property(survey, (rows) => {
      const plain = cellsPlainly(rows);
      const fast = cellsFast(rows);
      if (fast === undefined) return;
      compared++;
      expect(fast.table).toEqual(plain.table);
      expect(fast.means).toEqual(plain.means);
    }),
    { numRuns: 300 },
  );
  expect(
    compared,
    'cells.wasm is not built (run npm run build), or gives up on what a grid holds',
  ).toBeGreaterThan(250);
});

test('lakes too far apart for a grid are left to the plain form', () => {
  const count = 40;
  const lakes: Survey = {
    count,
    lat: Float64Array.from({ length: count }, (_, i) => (i % 2 === 0 ? 45 : -33)),
    lon: Float64Array.from({ length: count }, (_, i) => (i % 2 === 0 ? -93 : 151)),
    depth: new Float32Array(count).fill(5),
    shallowest: new Float32Array(count).fill(5),
    weight: new Float32Array(count).fill(1),
    pass: new Int32Array(count),
    time: new Float64Array(count),
    log: new Int32Array(count),
    logs: [],
  };
  expect(cellsFast(lakes)).toBeUndefined();
  expect(cellsPlainly(lakes).table.count).toBe(2);
});
