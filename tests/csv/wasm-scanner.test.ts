import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createScanNotes, createScanner, type Scanner } from '../../src/formats/csv/byte-scanner.ts';
import { memorySource } from '../../src/formats/csv/byte-source.ts';
import { startOfCsv } from '../../src/formats/csv/csv-start.ts';
import type { Layout } from '../../src/formats/csv/layout.ts';
import { defaultReaderOptions, type ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { createRowColumns, reserveRows } from '../../src/formats/csv/row-columns.ts';
import { createTally } from '../../src/formats/csv/tally.ts';
import { createFastScanner } from '../../src/formats/csv/wasm-scanner.ts';

/** Layout of a log that begins with these lines. */
async function layoutOf(lines: readonly string[], options: Partial<ReaderOptions> = {}): Promise<Layout> {
  const source = memorySource('log.csv', new TextEncoder().encode(`${lines.join('\n')}\n`));
  const tally = createTally(() => {}, false);
  return (await startOfCsv(source, defaultReaderOptions({ now: 1.9e9, ...options }), tally)).start.layout;
}

/** Everything that a scanner does with bytes, again and again over the lines that it leaves. */
function scanAll(create: typeof createScanner, layout: Layout, bytes: Uint8Array) {
  const notes = createScanNotes();
  const scan = create(layout, notes) as Scanner;
  const rows = createRowColumns(16);
  const stops: number[] = [];
  let at = 0;
  while (at < bytes.length) {
    reserveRows(rows, Math.ceil((bytes.length - at) / 6) + 1);
    at = scan(bytes, at, bytes.length, rows);
    stops.push(at);
    if (at < bytes.length) at = lineAfter(bytes, at);
  }
  const taken = Object.entries(rows).map(([name, value]) =>
    ArrayBuffer.isView(value)
      ? [name, Array.from((value as Float64Array).subarray(0, rows.count))]
      : [name, value],
  );
  return { stops, notes, rows: taken };
}

function lineAfter(bytes: Uint8Array, at: number): number {
  let stop = at;
  while (stop < bytes.length && bytes[stop] !== 10 && bytes[stop] !== 13) stop++;
  return stop + (bytes[stop] === 13 && bytes[stop + 1] === 10 ? 2 : 1);
}

const START = ['time,lat,lon,depth_ft,temp_f,note', '2026-05-01T10:00:00Z,44.5,-93.5,12.5,61.5,x'];
const good = (i: number): string =>
  `2026-05-01T1${i % 10}:${String(i % 60).padStart(2, '0')}:0${i % 7}.${i % 997}Z,44.${100000 + i},-93.${i},${i % 300}.${i % 13},6${i % 10}.5,n`;

/** Fields that are nearly what they should be, and what breaks them. */
const field = fc.oneof(
  fc.constantFrom(
    '',
    ' ',
    '"1.5"',
    '"',
    '-',
    '+',
    '.',
    '-.5',
    '5.',
    '1e3',
    '9999',
    '-9999',
    '0',
    '0.0',
    '1,5',
    'å',
  ),
  fc.constantFrom(
    '2026-05-01T10:00:00Z',
    '2026-02-30 10:00:00',
    '2024-02-29T23:59:59.999999999',
    '1/5/2026 1:00',
  ),
  fc.constantFrom(
    '1777630000',
    '1777630000123',
    '1777630000.25',
    '999999999',
    '-1777630000',
    '0000-01-01T00:00:00Z',
  ),
  fc.double({ noNaN: true, min: -200, max: 200 }).map((value) => value.toFixed(9)),
  fc.integer({ min: 0, max: 20 }).map((n) => '1234567890123456789'.slice(0, n)),
  fc.integer({ min: 0, max: 20 }).map((n) => `1.${'1234567890123456789'.slice(0, n)}`),
);
const line = fc.oneof(
  fc.nat(5000).map(good),
  fc.array(field, { minLength: 1, maxLength: 8 }).map((fields) => fields.join(',')),
  fc
    .tuple(fc.nat(5000), fc.nat(5), field)
    .map(([i, place, bad]) => good(i).split(',').with(place, bad).join(',')),
);
const text = fc
  .array(fc.tuple(line, fc.constantFrom('\n', '\n', '\r\n', '\r')), { minLength: 1, maxLength: 40 })
  .map((lines) => lines.map(([before, end]) => before + end).join(''));

describe('the scanner in WebAssembly', () => {
  test('takes from any bytes the rows and notes that the plain one takes, bit by bit', async () => {
    const layouts = [
      await layoutOf(START),
      await layoutOf(START, {
        sentinels: ['12.5', '655.35'],
        zeroIsValid: true,
        tz: '-05:00',
        dateOrder: 'dmy',
      }),
      await layoutOf(START, { dateOrder: 'mdy', maxDepth: 20 }),
      await layoutOf(['date,time,lat,lon,depth_m', '2026-05-01,10:00:00,44.5,-93.5,3.5']),
      await layoutOf(['lat;lon;depth_m;time', '44,5;-93,5;3,5;2026-05-01T10:00:00Z']),
    ];
    fc.assert(
      fc.property(text, fc.constantFrom(...layouts), (lines, layout) => {
        const bytes = new TextEncoder().encode(lines);
        expect(scanAll(createFastScanner, layout, bytes)).toEqual(scanAll(createScanner, layout, bytes));
      }),
      { numRuns: 3000 },
    );
  });

  test('reads on where its memory ends: in long logs, in lines longer than it, in logs with CR alone', async () => {
    const layout = await layoutOf(START);
    const many = Array.from({ length: 5000 }, (_, i) => good(i));
    const long = many.with(2000, `${good(7).slice(0, -1)}${'x'.repeat(100_000)}`);
    for (const lines of [many.join('\n'), many.join('\r\n'), many.join('\r'), long.join('\n')]) {
      const bytes = new TextEncoder().encode(`${lines}\n`);
      expect(scanAll(createFastScanner, layout, bytes)).toEqual(scanAll(createScanner, layout, bytes));
    }
  });

  test('is the one that is used: the module was built', async () => {
    const notes = createScanNotes();
    const plain = String(createScanner(await layoutOf(START), notes));
    expect(String(createFastScanner(await layoutOf(START), notes))).not.toBe(plain);
  });
});
