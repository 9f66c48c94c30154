import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { fromText, toText } from '../../src/boat/boat-data.ts';
import { INKS, TINTS } from '../../src/boat/colors.ts';
import { leaveTimes } from '../../src/boat/current-plan.ts';
import { type Entry, fishedStops, logCsv, logTable, wishesOf } from '../../src/boat/entries.ts';
import { pack, packNumbers, unpack, unpackNumbers } from '../../src/boat/pack.ts';
import { changeText } from '../../src/boat/plan-change.ts';
import { readLogs } from '../../src/day/read-log.ts';
import { readInput } from '../../src/files/read-input.ts';
import { contrastOf, luminance, rgbOf } from '../page/luminance.ts';

const DATE = '2026-07-04';
let id = 0;
const entry = (kind: Entry['kind'], clock: string, mark: string, more: Partial<Entry> = {}): Entry => {
  const [hours, minutes] = clock.split(':').map(Number);
  return { id: ++id, kind, date: DATE, time: hours * 3600 + minutes * 60, mark, side: 'D', ...more };
};

describe('stops from taps', () => {
  const taps = [
    entry('start', '6:40', 'A1', { lure: '16 ft diver' }),
    entry('fish', '6:45', 'A1', { size: 'keeper' }),
    entry('fish', '6:50', 'A1', { size: 'keeper' }),
    entry('missed', '6:52', 'A1'),
    entry('angle', '6:55', 'A1', { angle: 'quartering 294M 48yd' }),
    entry('leave', '7:05', 'A1'),
    entry('start', '7:12', 'B "2", deep'),
    entry('leave', '7:24', 'B "2", deep'),
    entry('start', '7:30', 'C3'),
    entry('start', '7:40', 'C3', { side: 'U' }),
  ];

  test('a stop has its fish, sizes, angles and minutes; the other side begins a new stop; the last stays open', () => {
    const stops = fishedStops(taps, DATE);
    expect(
      stops.map(({ mark, side, fish, start, end }) => [mark, side, fish, end && (end - start) / 60]),
    ).toEqual([
      ['A1', 'D', 2, 25],
      ['B "2", deep', 'D', 0, 12],
      ['C3', 'D', 0, 10],
      ['C3', 'U', 0, undefined],
    ]);
    expect(stops[0]).toMatchObject({ missed: 1, sizes: ['keeper', 'keeper'], lastBite: 6 * 3600 + 52 * 60 });
  });

  test('a forgotten fish is placed by its time, and the order of entry does not matter', () => {
    const late = entry('fish', '7:20', 'B "2", deep');
    expect(fishedStops([...taps, late], DATE)[1].fish).toBe(1);
    expect(fishedStops([late, ...taps.toReversed()], DATE)).toEqual(fishedStops([...taps, late], DATE));
  });

  test('a fish at another spot ends the stop and begins a new one there', () => {
    const stops = fishedStops([taps[0], entry('fish', '6:48', 'Z9')], DATE);
    expect(stops.map(({ mark, end }) => [mark, end])).toEqual([
      ['A1', 6 * 3600 + 48 * 60],
      ['Z9', undefined],
    ]);
  });

  test('a stop left open when the battery died is closed at its last bite on the next day', () => {
    const [stop] = fishedStops(taps.slice(0, 4), '2026-07-05');
    expect(stop.end).toBe(6 * 3600 + 52 * 60);
  });

  test('the last wish for a spot counts', () => {
    const wishes = wishesOf([
      entry('wish', '6:00', 'A1', { wish: 'skip' }),
      entry('wish', '6:01', 'A1', { wish: 'none' }),
    ]);
    expect([...wishes]).toEqual([['A1', 'none']]);
  });

  test('plan --log and the page read the exported log alike, including names with quotes and commas', async () => {
    const table = logTable(fishedStops(taps, DATE), 8 * 3600);
    const file = join(mkdtempSync(join(tmpdir(), 'downslope-boat-')), 'boat.csv');
    writeFileSync(file, logCsv(table));
    const read = await readLogs([file], readInput, ['A1', 'B "2", deep', 'C3'], undefined, () => undefined);
    const plain = (rows: readonly { readonly values: Readonly<Record<string, string>> }[]) =>
      rows.map(({ values: { file: _file, line: _line, ...values } }) => values);
    expect(plain(read!.rows)).toEqual(plain(table.rows));
    expect(table.rows.at(-1)!.values).toMatchObject({ minutes: '20', note: 'still there, counted to 08:00' });
  });
});

describe('times to leave', () => {
  const [stop] = fishedStops([entry('start', '7:10', 'A1'), entry('fish', '7:20', 'A1')], DATE);
  const rules = { setUp: 180, giveUp: 720, usualStay: 1800 };

  test('a stop outside the plan gets the usual stay, and a bite postpones giving up', () => {
    const begin = 7 * 3600 + 600;
    expect(leaveTimes(stop, { coming: [] }, rules)).toEqual({
      leave: begin + 180 + 1800,
      latest: undefined,
      giveUp: 7 * 3600 + 1200 + 720,
    });
  });

  test('a stop that began late ends at its latest time to leave', () => {
    const here = { latestLeave: 7 * 3600 + 1500, stay: 1800, giveUp: 720 } as never;
    expect(leaveTimes(stop, { coming: [], here }, rules).leave).toBe(7 * 3600 + 1500);
  });
});

describe('data of a page', () => {
  test('bytes, numbers and infinite values survive packing', () => {
    const bytes = Uint8Array.from({ length: 10_000 }, (_, at) => (at * at) % 7);
    expect(unpack(pack(bytes))).toEqual(bytes);
    const numbers = Int16Array.from({ length: 5000 }, (_, at) =>
      at % 9 === 0 ? -32_768 : (at * 7919) % 32_767,
    );
    expect(unpackNumbers(packNumbers(numbers))).toEqual(numbers);
    const value = { by: [Number.NEGATIVE_INFINITY, 1, Number.POSITIVE_INFINITY], name: '</script>' };
    expect(fromText(toText(value))).toEqual(value);
  });

  // Source of the ratio: WCAG 2.2, contrast ratio.
  test.each(['light', 'dark'] as const)(
    'neighboring %s tints have a contrast of at least 1.25 : 1 and carry lines at 3 : 1',
    (theme) => {
      const of = (color: string): number => luminance(rgbOf(color));
      const tints = TINTS[theme].map(of);
      for (let at = 1; at < tints.length; at++)
        expect(contrastOf(tints[at - 1], tints[at])).toBeGreaterThan(1.25);
      for (const tint of tints) expect(contrastOf(tint, of(INKS[theme].ink))).toBeGreaterThanOrEqual(3);
      // These inks have a halo of paper color, because no ink stands out from every tint.
      for (const ink of ['route', 'closed', 'slow', 'boat'] as const)
        expect(contrastOf(of(INKS[theme][ink]), of(INKS[theme].paper))).toBeGreaterThanOrEqual(7);
    },
  );
});

describe('what a new plan changes', () => {
  const stop = (name: string) => ({ spot: { name }, side: { side: 0 }, arrive: 8 * 3600 }) as never;
  const newPlan = (...names: string[]) => ({ stops: names.map(stop), pattern: [] });

  test('nothing is reported for the same order; stops that moved up, were added or dropped are named', () => {
    expect(changeText([stop('A'), stop('B')], newPlan('A', 'B'), 'ft')).toBeUndefined();
    expect(changeText(['A', 'B', 'C', 'D'].map(stop), newPlan('C', 'A', 'E', 'B'), 'ft')).toBe(
      'Next C D at 08:00; earlier: C D; new: E D; out: D D.',
    );
    expect(changeText([stop('A')], newPlan(), 'ft')).toBe('No stop fits anymore; out: A D.');
  });
});
