import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { checkGpx } from './check-gpx.ts';
import { mutationRun } from './gpx.ts';

const KEPT = new URL('../../fixtures/regressions/gpx/', import.meta.url);

test.each(readdirSync(KEPT))('input %s, which once failed, passes', (name) => {
  expect(() => checkGpx(readFileSync(new URL(name, KEPT)))).not.toThrow();
});

// `npm run fuzz gpx` tries a million files.
test('2,000 mutated files are refused with a reason, or can be enriched, undone and enriched again unchanged', () => {
  const { outcomes, failures } = mutationRun(2_000, 1);
  expect(failures.map(({ index, message }) => `${index}: ${message}`)).toEqual([]);
  expect(outcomes.enriched).toBeGreaterThan(160);
  expect(outcomes.refused).toBeGreaterThan(1200);
  // Input that only the second parser refuses must remain rare.
  expect(outcomes['second-parser']).toBeLessThan(3);
});
