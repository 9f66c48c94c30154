import { describe, expect, test } from 'vitest';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import { type CsvFileExpectation, parseCsvBytes, readCsvFile } from '../../src/formats/csv/csv-file.ts';

const LURES: CsvFileExpectation = { what: 'lure box', required: ['name', 'label_ft'] };
const read = (text: string | Uint8Array, expectation?: CsvFileExpectation) =>
  parseCsvBytes(typeof text === 'string' ? Buffer.from(text) : text, 'lures.csv', expectation);

async function refusal(text: string | Uint8Array, expectation = LURES) {
  try {
    await read(text, expectation);
  } catch (cause) {
    if (cause instanceof Refusal) return cause.diagnostics[0];
    throw cause;
  }
  throw new Error('not refused');
}

describe('small CSV files', () => {
  test('rows have lowercase column names and their physical line number', async () => {
    const file = await read('Name, Label_ft\n\n"deep, ""blue""",16\n"two\nlines",20\n# 7,9\n', LURES);
    expect(file).toEqual({
      file: 'lures.csv',
      header: ['name', 'label_ft'],
      rows: [
        { line: 3, values: { name: 'deep, "blue"', label_ft: '16' } },
        { line: 4, values: { name: 'two\nlines', label_ft: '20' } },
        { line: 6, values: { name: '# 7', label_ft: '9' } },
      ],
    });
  });

  test.each([
    ['semicolons', 'name;label_ft\r\na;16\r\n'],
    ['tabs', 'name\tlabel_ft\na\t16\n'],
    ['a byte order mark', '\uFEFFname,label_ft\na,16\n'],
    ['comments before the header', '# my box\n\nname,label_ft\na,16'],
    ['sep=', 'sep=;\nname;label_ft\na;16\n'],
    ['CR line ends', 'name,label_ft\ra,16\r'],
    ['empty fields at the end', 'name,label_ft\na,16,,\n,,\n'],
  ])('a file with %s is read', async (_, text) => {
    expect((await read(text, LURES)).rows.map(({ values }) => values)).toEqual([
      { name: 'a', label_ft: '16' },
    ]);
  });

  test('UTF-16 and windows-1252 are read', async () => {
    const wide = await read(Buffer.from('\uFEFFname,label_ft\nblå,16\n', 'utf16le'));
    expect(wide.rows[0].values.name).toBe('blå');
    const old = await read(Buffer.from('name,label_ft\nblå,16\n', 'latin1'));
    expect(old.rows[0].values.name).toBe('blå');
  });

  test.each([
    ['csv/empty', ''],
    ['csv/empty', '# nothing\n\n'],
    ['csv/header', 'name,depth\na,16\n'],
    ['csv/duplicate-column', 'name,label_ft,name\na,16,b\n'],
    ['csv/quote', 'name,label_ft\n"a,16\n'],
    ['csv/quote', 'name,label_ft\n"a"b,16\n'],
    ['csv/control', 'name,label_ft\na\u0007,16\n'],
    ['csv/foreign', '<html></html>'],
    ['csv/foreign', 'PK\u0003\u0004'],
  ])('a file is refused with %s: %j', async (code, text) => {
    expect((await refusal(text)).code).toBe(code);
  });

  test('a row whose number of fields differs from the header is refused with its line', async () => {
    expect(await refusal('name,label_ft\na,16\nb,17,x\n')).toMatchObject({
      code: 'csv/fields',
      place: { file: 'lures.csv', line: 3 },
      message:
        'This line has 3 fields where the header has 2. Put quotes around values that contain the separator.',
    });
    expect((await refusal('name,label_ft\na,16\nb\n')).message).toBe(
      'This line has 1 field where the header has 2. Add the missing fields; leave unknown ones empty.',
    );
  });

  test('a missing file is refused by name', async () => {
    await expect(readCsvFile('no-such-file.csv', LURES)).rejects.toThrow('no-such-file.csv');
  });
});
