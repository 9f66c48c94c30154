import { expect } from 'vitest';

/** Asserts that `actual` is within `tolerance` of `expected`. */
export function near(actual: number, expected: number, tolerance: number): void {
  expect(
    Math.abs(actual - expected),
    `${actual} should be ${expected} within ${tolerance}`,
  ).toBeLessThanOrEqual(tolerance);
}
