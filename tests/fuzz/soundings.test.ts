import { describe, expect, test } from 'vitest';
import { readText } from '../csv/read-text.ts';
import { GOOD_LOGS } from './good-logs.ts';
import { fuzzSoundings } from './soundings.ts';

describe('damaged sounding logs', () => {
  test('mutated logs are read or refused with a reason, and every row agrees with its line', async () => {
    const { failures, read, refused } = await fuzzSoundings(1500, 20_240_501);
    expect(failures.map(({ log, mutation, what }) => `${log}, ${mutation}: ${what}`)).toEqual([]);
    expect(read).toBeGreaterThan(1000);
    expect(refused).toBeGreaterThan(50);
  });

  test.each(GOOD_LOGS.filter(({ isPlain }) => isPlain).map((good) => [good.name, good] as const))(
    'a log cut at any byte gives rows of the whole log or a refusal: %s',
    async (_, good) => {
      const key = ({ lat, lon, depth, line }: { lat: number; lon: number; depth: number; line: number }) =>
        `${line}: ${lat}, ${lon}, ${depth}`;
      const whole = new Set((await readText(good.bytes, good.options)).rows.map(key));
      expect(whole.size).toBe(24);
      for (let length = good.header.length + 8; length < good.bytes.length; length++) {
        const { rows } = await readText(good.bytes.subarray(0, length), good.options);
        const wrong = rows.map(key).filter((row) => !whole.has(row));
        expect(wrong, `cut after ${length} bytes`).toEqual([]);
      }
    },
  );
});
