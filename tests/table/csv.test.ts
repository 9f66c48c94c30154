import fc from 'fast-check';
import { parseString } from 'fast-csv';
import { expect, test } from 'vitest';
import { formatCsv, guardCell } from '../../src/formats/table/table.ts';

/** Reads rows with a library. */
const readBack = (text: string): Promise<string[][]> =>
  new Promise((resolve, reject) => {
    const rows: string[][] = [];
    parseString<string[], string[]>(text)
      .on('data', (row) => rows.push(row))
      .on('error', reject)
      .on('end', () => resolve(rows));
  });

test('any content of a table is read back unchanged', async () => {
  const text = fc.oneof(
    fc.string(),
    fc.string({ unit: fc.constantFrom('"', ',', '|', '\r', '\n', ' ', 'é') }),
  );
  const rows = fc.array(fc.tuple(fc.constant('W'), text, text), { minLength: 1, maxLength: 6 });
  const lineEnd = fc.constantFrom('\n' as const, '\r\n' as const);
  await fc.assert(
    fc.asyncProperty(rows, lineEnd, async (given, end) => {
      expect(await readBack(formatCsv(given, end))).toEqual(given);
    }),
  );
});

test('only what needs quotes is quoted, and every row ends with a line end', () => {
  expect(
    formatCsv([
      ['a b', 'c,d'],
      ['e"f', ''],
    ]),
  ).toBe('a b,"c,d"\n"e""f",\n');
});

test.each(['=1+2', '+cmd', '-2+3', '@SUM(A1)', '\tx', "=HYPERLINK('x')"])(
  'a name that a spreadsheet would run as a formula, %j, gets an apostrophe',
  (name) => {
    expect(guardCell(name)).toBe(`'${name}`);
  },
);

test.each(['', 'Reef', 'A=1', '3 - 4', "'=1"])('a plain name, %j, stays as it is', (name) => {
  expect(guardCell(name)).toBe(name);
});
