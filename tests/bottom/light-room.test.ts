import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Blocks } from '../../shared/bottom/blocks.ts';
import { lightDesign } from '../../shared/bottom/light-design.ts';
import { LightProcess } from '../../shared/bottom/light-process.ts';
import { type LightRoom, moduleRoom, plainRoom } from '../../shared/bottom/light-room.ts';

const meters = (most: number) => fc.double({ min: -most, max: most, noNaN: true });
const block = fc.record({
  east: meters(118),
  north: meters(118),
  depth: fc.double({ min: 0, max: 60, noNaN: true }),
  leg: fc.nat(4),
  weight: fc.constantFrom(1, 3, 40),
  bearing: fc.double({ min: 0, max: 6.28, noNaN: true }),
  along: fc.oneof(fc.constant(0), meters(0.5)),
  noise: fc.double({ min: 0.04, max: 1, noNaN: true }),
});
const blocks = fc.array(block, { minLength: 6, maxLength: 60 }).map(
  (rows): Blocks => ({
    count: rows.length,
    east: Float64Array.from(rows, ({ east }) => east),
    north: Float64Array.from(rows, ({ north }) => north),
    depth: Float64Array.from(rows, ({ depth }) => depth),
    leg: Int32Array.from(rows, ({ leg }) => leg),
    weight: Float64Array.from(rows, ({ weight }) => weight),
    wayEast: Float64Array.from(rows, ({ bearing }) => Math.sin(bearing)),
    wayNorth: Float64Array.from(rows, ({ bearing }) => Math.cos(bearing)),
    along: Float64Array.from(rows, ({ along }) => along),
    noise: Float64Array.from(rows, ({ noise }) => noise),
  }),
);
const variation = fc
  .record({
    range: fc.double({ min: 3, max: 300, noNaN: true }),
    sill: fc.oneof(fc.constant(1e-9), fc.double({ min: 0.003, max: 100, noNaN: true })),
    ratio: fc.constantFrom(1, 1.8, 3, 6),
    angle: fc.double({ min: 0, max: 3.15, noNaN: true }),
    noise: fc.constantFrom(1, 4, 16),
  })
  .map(({ angle, ...rest }) => ({ ...rest, cos: Math.cos(angle), sin: Math.sin(angle) }));

test('the module fits as the plain form does, to the last bit', () => {
  const module = moduleRoom();
  if (module === undefined) throw new Error('light.wasm is not built; run npm run build');
  const rooms = [plainRoom(), module] as const;
  const variations = fc.array(variation, { minLength: 1, maxLength: 3 });
  fc.assert(
    fc.property(blocks, variations, fc.constantFrom(0.5, 1), (all, ways, share) => {
      const process = rooms.map((room) => new LightProcess(lightDesign(all, room)));
      const n = Math.max(4, (share * process[0].design.count) & ~1);
      for (const way of ways) {
        for (const sill of [way.sill, 2 * way.sill]) {
          const [plain, fast] = process.map((one) => one.fit({ ...way, sill }, n));
          expect(fast).toBe(plain);
          if (plain > Number.NEGATIVE_INFINITY) expect(answers(process[1])).toEqual(answers(process[0]));
        }
      }
    }),
    { numRuns: 400 },
  );
});

/** All that is read of a fit. */
function answers({ design, n, width, height }: LightProcess): number[] {
  const { factor, trendCovariance, coefficients, fall }: LightRoom = design.room;
  const columns = Array.from({ length: n }, (_, k) => [
    ...factor.subarray(k * height + k, k * height + n),
    ...factor.subarray(k * height + width, (k + 1) * height),
  ]);
  return [...columns.flat(), ...trendCovariance, ...coefficients, ...fall];
}

test('a singular covariance is seen as one', () => {
  const one = fc.sample(block, { numRuns: 1, seed: 1 })[0];
  const column = (value: number) => new Float64Array(8).fill(value);
  const same = {
    count: 8,
    east: column(one.east),
    north: column(one.north),
    depth: column(one.depth),
    leg: new Int32Array(8),
    weight: column(1),
    wayEast: column(0),
    wayNorth: column(0),
    along: column(0),
    noise: column(0.1),
  };
  for (const room of [plainRoom(), moduleRoom() ?? plainRoom()]) {
    const process = new LightProcess(lightDesign(same, room));
    room.errors.fill(0);
    expect(process.fit({ range: 20, sill: 1, ratio: 1, cos: 1, sin: 0, noise: 1 }, 8)).toBe(
      Number.NEGATIVE_INFINITY,
    );
  }
});
