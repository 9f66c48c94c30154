import { expect } from 'vitest';

/** Asserts that a number is within a tolerance, in its own unit. */
export function near(actual: number, expected: number, tolerance: number): void {
  expect(
    Math.abs(actual - expected),
    `${actual} should be ${expected} within ${tolerance}`,
  ).toBeLessThanOrEqual(tolerance);
}
