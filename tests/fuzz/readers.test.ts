import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { readBytes } from '../readers/read-bytes.ts';
import { fuzzReaders } from './readers.ts';

const KEPT = new URL('../../fixtures/regressions/readers/', import.meta.url);

test('mutated files of the open formats are read or refused with a reason, and no impossible value is accepted', async () => {
  const { failures, read, refused } = await fuzzReaders(1500, 20_261_128);
  expect(failures.map(({ log, mutation, what }) => `${log}, ${mutation}: ${what}`)).toEqual([]);
  expect(read).toBeGreaterThan(500);
  expect(refused).toBeGreaterThan(250);
});

test.each(readdirSync(KEPT))('%s, which once exhausted the memory, is refused as damaged', async (name) => {
  const { refusal } = await readBytes(name, readFileSync(new URL(name, KEPT)));
  expect(refusal?.code).toBe('soundings/damaged');
});
