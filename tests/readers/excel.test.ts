import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import { readBytes } from './read-bytes.ts';

const BOOK = unzipSync(readFileSync(resolve(import.meta.dirname, '../../fixtures/formats/lake/sheet.xlsx')));
const SHEET = 'xl/worksheets/sheet1.xml';

/** Returns the sample workbook with other rows, given as sheet XML (ECMA-376, part 1, 18.3). */
function bookOf(rows: string): Uint8Array {
  const sheet = strFromU8(BOOK[SHEET]).replace(
    /<sheetData>.*<\/sheetData>/s,
    `<sheetData>${rows}</sheetData>`,
  );
  // Style 1 is a date.
  const styles = strFromU8(BOOK['xl/styles.xml']).replace(
    /<cellXfs.*?<\/cellXfs>/s,
    '<cellXfs count="2"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/><xf numFmtId="22" fontId="0" fillId="0" borderId="0" applyNumberFormat="1"/></cellXfs>',
  );
  return zipSync({ ...BOOK, [SHEET]: strToU8(sheet), 'xl/styles.xml': strToU8(styles) });
}

const header =
  '<row r="1"><c r="A1" t="inlineStr"><is><t>lat</t></is></c><c r="B1" t="inlineStr"><is><t>lon</t></is></c><c r="C1" t="inlineStr"><is><t>Depth (ft)</t></is></c><c r="D1" t="inlineStr"><is><t>time</t></is></c></row>';
const row = (r: number, depth: string, day: string): string =>
  `<row r="${r}"><c r="A${r}"><v>60.1${r}</v></c><c r="B${r}"><v>25.2</v></c><c r="C${r}">${depth}</c><c r="D${r}" s="1"><v>${day}</v></c></row>`;

describe('Excel sheets', () => {
  test('times are in the time zone of --tz, and units come from the header', async () => {
    // Day 46143 is 2026-05-01; 10:00:01 is 36001 of 86400 seconds.
    const book = bookOf(
      header + row(2, '<v>10</v>', String(46143 + 36001 / 86400)) + row(3, '<v>20</v>', '46143.5'),
    );
    const { rows, refusal } = await readBytes('a.xlsx', book, { tz: '-05:00' });
    expect(refusal).toBeUndefined();
    expect(rows.map(({ time }) => new Date(time * 1000).toISOString())).toEqual([
      '2026-05-01T15:00:01.000Z',
      '2026-05-01T17:00:00.000Z',
    ]);
    expect(rows[0].depth).toBe(Math.fround(3.048));
    expect(rows[0].line).toBe(2);
  });

  test('a cell with an error gives a row without a depth, and reading goes on', async () => {
    const error = '<v>#DIV/0!</v>';
    const book = bookOf(
      header +
        row(2, '<v>10</v>', '46143.5') +
        row(3, error, '46143.6').replace('<c r="C3">', '<c r="C3" t="e">'),
    );
    const { rows, account, refusal } = await readBytes('a.xlsx', book, { maxDropped: 1 });
    expect(refusal).toBeUndefined();
    expect(rows).toHaveLength(1);
    expect(account?.read).toBe(2);
  });

  test('a cell in the last possible row does not exhaust memory', async () => {
    const { refusal } = await readBytes(
      'a.xlsx',
      bookOf(header + row(1_048_576, '<v>10</v>', '46143.5').replaceAll('D1048576', 'XFD1048576')),
    );
    expect(refusal?.code).toBe('soundings/damaged');
    expect(refusal?.message).toContain('a sheet has more than 20 million cells');
  });
});
