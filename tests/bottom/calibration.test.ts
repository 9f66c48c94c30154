import { describe, expect, test } from 'vitest';
import { calibrateAcross, calibrateDepth, calibrateSlope } from '../../shared/bottom/calibration.ts';
import { normalBelow } from '../../shared/math/statistics.ts';

describe('calibrated intervals', () => {
  test.each([0.05, 0.1, 0.3, 0.6])(
    'are wider than the intervals of the process alone, for a standard deviation of %s m',
    (sd) => {
      for (const spacing of [30, 60]) expect(calibrateDepth(sd, spacing)).toBeGreaterThan(sd);
    },
  );

  test('widen with the spacing of the passes from 15 m to 100 m', () => {
    for (const law of [
      (spacing: number) => calibrateDepth(0.2, spacing),
      (spacing: number) => calibrateSlope(2, spacing, 0.1),
      (spacing: number) => calibrateAcross(2, spacing, 0.1),
    ]) {
      expect(law(60)).toBeGreaterThan(1.2 * law(30));
      expect(law(5)).toBe(law(15));
      expect(law(500)).toBe(law(100));
    }
  });

  test('widen with the roughness of the bottom', () => {
    expect(calibrateSlope(1, 30, 0.5)).toBeGreaterThan(calibrateSlope(1, 30, 0.05));
    expect(calibrateAcross(1, 30, 0.5)).toBeGreaterThan(calibrateAcross(1, 30, 0.05));
  });
});

// Abramowitz & Stegun 1964, table 26.1.
test.each([
  [0, 0.5],
  [1, 0.8413447461],
  [-1, 0.1586552539],
  [1.96, 0.9750021049],
  [-3, 0.001349898],
])('the normal distribution below %s matches published tables', (x, share) => {
  expect(Math.abs(normalBelow(x) - share)).toBeLessThan(1.5e-7);
});
