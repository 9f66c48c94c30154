import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { checkGpx } from './check-gpx.ts';
import { mutationRun } from './gpx.ts';

const KEPT = new URL('../../fixtures/regressions/gpx/', import.meta.url);

test.each(readdirSync(KEPT))('the input %s, which once failed, does not', (name) => {
  expect(() => checkGpx(readFileSync(new URL(name, KEPT)))).not.toThrow();
});

// `npm run fuzz gpx` runs as many as one has time for.
test('10,000 mutated files: refused with a reason, or enriched, undone and stable; never anything else', () => {
  const { outcomes, failures } = mutationRun(10_000, 1);
  expect(failures.map(({ index, message }) => `${index}: ${message}`)).toEqual([]);
  expect(outcomes.enriched).toBeGreaterThan(800);
  expect(outcomes.refused).toBeGreaterThan(6000);
  // What the first parser accepts and the second does not is refused too; it is to stay the rare exception.
  expect(outcomes['second-parser']).toBeLessThan(4);
});
