import { describe, expect, test } from 'vitest';
import { slopeFields } from '../../shared/bottom/slope-fields.ts';
import { near } from './near.ts';

const DEGREES = 180 / Math.PI;

/** Returns the slope fields of a bottom that deepens eastward by `level`, with variances of the gradient. */
const fieldsOf = (level: number, along: number, across: number, bend = 0) =>
  slopeFields(
    { mean: [10, level, 0], covariance: Float64Array.of(0.01, 0, 0, 0, along, 0, 0, 0, across) },
    'ok',
    25,
    { rough: 0, bend },
  );

/** Returns the mean of sqrt(level^2 + (sd x)^2) for a standard normal x, by Simpson's rule. */
function meanLength(level: number, sd: number): number {
  const steps = 4000;
  let sum = 0;
  let weights = 0;
  for (let i = 0; i <= steps; i++) {
    const x = -8 + (16 * i) / steps;
    const weight = (i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2) * Math.exp(-0.5 * x * x);
    sum += weight * Math.hypot(level, x * sd);
    weights += weight;
  }
  return sum / weights;
}

describe('slope of an uncertain gradient', () => {
  test('is the slope of the gradient without uncertainty', () => {
    near(fieldsOf(0.2, 0, 0).slope!, Math.atan(0.2) * DEGREES, 1e-9);
  });

  test.each([0.1, 0.2, 0.3])(
    'is the slope of the mean length, with an error across the gradient of %s of its length',
    (share) => {
      const { slope } = fieldsOf(0.2, 0, (0.2 * share) ** 2);
      // The root mean square length exceeds the mean length by share^4 / 4, plus higher-order terms.
      near(Math.tan(slope! / DEGREES) / meanLength(0.2, 0.2 * share), 1, 0.3 * share ** 4);
    },
  );

  test('is hardly raised on level ground by uncertainty from steep ground nearby', () => {
    const { slope, aspect } = fieldsOf(0.01, 0.04, 0.04);
    near(slope!, Math.atan(Math.sqrt(1.5) * 0.01) * DEGREES, 1e-9);
    expect(aspect).toBeUndefined();
  });

  test('is raised for breaks that the fit smooths over, less so on ground that is rough everywhere', () => {
    const along = 0.05 ** 2;
    near(fieldsOf(0.2, along, 0).slope!, Math.atan(Math.sqrt(0.04 + 1.5 * along)) * DEGREES, 1e-9);
    near(fieldsOf(0.2, along, 0, 1).slope!, Math.atan(Math.sqrt(0.04 + 0.3 * along)) * DEGREES, 1e-9);
  });

  test('has a standard deviation of at most 45 degrees for an unknown gradient, which has no aspect', () => {
    const { slopeSd, aspect, aspectSd } = fieldsOf(0.2, 1e4, 1e4);
    expect([slopeSd, aspect, aspectSd]).toEqual([45, undefined, undefined]);
  });

  test('is missing for one pass', () => {
    const posterior = { mean: [10, 0.1, 0] as const, covariance: new Float64Array(9) };
    expect(slopeFields(posterior, 'one-pass', 25, { rough: 0, bend: 0 })).toEqual({});
  });
});
