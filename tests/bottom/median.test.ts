import fc from 'fast-check';
import { expect, test } from 'vitest';
import { medianOf } from '../../shared/math/statistics.ts';

test('the median is the middle value of the sorted values', () => {
  const value = fc.oneof(fc.double({ noNaN: true, min: -1e6, max: 1e6 }), fc.integer({ min: -3, max: 3 }));
  fc.assert(
    fc.property(fc.array(value, { minLength: 1, maxLength: 200 }), (values) => {
      const sorted = [...values].sort((a, b) => a - b);
      const half = sorted.length >> 1;
      const expected = sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
      // Adding 0 turns -0 into 0.
      expect(medianOf([...values]) + 0).toBe(expected + 0);
    }),
    { numRuns: 2000 },
  );
});
