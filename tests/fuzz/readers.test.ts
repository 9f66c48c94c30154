import { expect, test } from 'vitest';
import { fuzzReaders } from './readers.ts';

test('mutated files of the open formats are read or refused with a reason, and no impossible value is accepted', async () => {
  const { failures, read, refused } = await fuzzReaders(3000, 20_261_128);
  expect(failures.map(({ log, mutation, what }) => `${log}, ${mutation}: ${what}`)).toEqual([]);
  expect(read).toBeGreaterThan(1000);
  expect(refused).toBeGreaterThan(500);
});
