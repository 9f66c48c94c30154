import fc from 'fast-check';
import { expect, test } from 'vitest';
import { shortestTimes } from '../../shared/day-plan/shortest-times.ts';

test('times from a node are those of trying every edge until nothing changes', () => {
  const edge = fc.tuple(
    fc.integer({ min: 0, max: 9 }),
    fc.integer({ min: 0, max: 9 }),
    fc.oneof(fc.double({ min: 0.5, max: 3, noNaN: true }), fc.double({ min: 1e-3, max: 5000, noNaN: true })),
  );
  fc.assert(
    fc.property(fc.array(edge, { maxLength: 40 }), (list) => {
      const sorted = [...list].sort((a, b) => a[0] - b[0]);
      const edges = {
        first: Int32Array.from({ length: 11 }, (_, node) => sorted.filter(([from]) => from < node).length),
        to: Int32Array.from(sorted, ([, to]) => to),
        seconds: Float32Array.from(sorted, ([, , seconds]) => seconds),
      };
      const expected = new Float64Array(10).fill(Infinity);
      expected[0] = 0;
      for (let round = 0; round < 10; round++) {
        sorted.forEach(([from, to], at) => {
          expected[to] = Math.min(expected[to], expected[from] + edges.seconds[at]);
        });
      }
      const all = Array.from({ length: 10 }, (_, node) => node);
      expect([...shortestTimes(edges)(0, all)]).toEqual([...expected]);
    }),
  );
});
