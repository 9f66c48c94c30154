import fc from 'fast-check';
import { expect, test } from 'vitest';
import { blockSoundings, cellBlocks } from '../../shared/bottom/blocked-soundings.ts';
import type { LocalSoundings } from '../../shared/bottom/local-rows.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { near } from './near.ts';
import { surveyOf } from './survey-of.ts';

const place = fc.double({ min: -118, max: 118, noNaN: true });
const row = fc.record({
  east: place,
  north: place,
  depth: fc.double({ min: 0.5, max: 60, noNaN: true }),
  weight: fc.constantFrom(1, 2, 40),
  isSpike: fc.boolean(),
});
const noise = { usual: 0.1, near: () => 0.1 };

test('cells keep the number of soundings, their mean depth and their mean position', () => {
  fc.assert(
    fc.property(fc.array(row, { minLength: 1, maxLength: 200 }), (rows) => {
      const of = (name: 'east' | 'north' | 'depth' | 'weight') =>
        Float64Array.from(rows, (each) => each[name]);
      const soundings = {
        count: rows.length,
        east: of('east'),
        north: of('north'),
        depth: of('depth'),
        weight: of('weight'),
        pass: new Int32Array(rows.length),
      };
      const blocks = cellBlocks(
        soundings,
        Uint8Array.from(rows, ({ isSpike }) => Number(isSpike)),
        noise,
      );
      const kept = rows.filter(({ isSpike }) => !isSpike);
      const weight = kept.reduce((sum, each) => sum + each.weight, 0);
      expect(blocks.weight.reduce((sum, each) => sum + each, 0)).toBe(weight);
      for (const name of ['east', 'north', 'depth'] as const) {
        const before = kept.reduce((sum, each) => sum + each.weight * each[name], 0);
        const after = blocks[name].reduce((sum, value, k) => sum + value * blocks.weight[k], 0);
        expect(after).toBeCloseTo(before, 6);
      }
    }),
    { numRuns: 100 },
  );
});

/** Depth of a bank, m, with 40 m at the origin. */
const depth = (east: number, north: number) => 40 + 0.1 * east + 0.1 * north + 0.0004 * (east * north);
const SLOPE = (Math.atan(Math.hypot(0.1, 0.1)) * 180) / Math.PI;

/** Simulates three sets of passes in three directions, like the logs of several years. */
function lakeOf(spacing: number): LocalSoundings {
  const sets = [0, 55, 120].map((heading, set) =>
    surveyOf(depth, { spacing, heading, seed: set + 1, radius: 118, noise: 0.1 }),
  );
  const join = (name: 'east' | 'north' | 'depth'): Float64Array =>
    Float64Array.from(sets.flatMap((set) => [...set[name]]));
  return {
    count: sets.reduce((sum, { count }) => sum + count, 0),
    east: join('east'),
    north: join('north'),
    depth: join('depth'),
    pass: Int32Array.from(sets.flatMap(({ pass }, set) => [...pass].map((own) => own + 1000 * set))),
  };
}

test('passes 15 m apart, even in three directions, are never merged into cells', () => {
  const { blocks } = blockSoundings(lakeOf(45));
  expect(new Set(blocks.leg).size).toBeLessThan(blocks.count / 4);
});

test('cells of a crowded neighborhood reproduce the known depth and slope', () => {
  const soundings = lakeOf(6);
  const { blocks, passSpacing } = blockSoundings(soundings);
  expect(new Set(blocks.leg).size).toBe(blocks.count);
  expect(blocks.count).toBeLessThan(200);
  near(passSpacing, 2, 0.5);
  const model = modelBottom(soundings, 0, 0);
  expect(model.status).toBe('ok');
  near(model.depth, 40, 0.05);
  near(model.slope ?? Number.NaN, SLOPE, 0.25);
  near(model.aspect ?? Number.NaN, 45, 2);
});
