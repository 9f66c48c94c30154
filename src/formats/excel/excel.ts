import { defineReaderPlugin, Refusal } from '../../../shared/contract/index.ts';
import { fileWithout } from '../../../shared/text/index.ts';
import { bufferOf, canBeSoLong, startsWith, tableBytes, textOf, whole } from '../open/index.ts';

const KIND = 'an Excel workbook';

/** Sheets of an Excel workbook (ECMA-376), each a table of its own. */
export const excel = defineReaderPlugin({
  name: 'excel',
  summary: 'Reads the sheets of Excel workbooks (.xlsx) as tables.',
  stage: 'reader',
  extensions: ['.xlsx', '.xlsm'],
  options: {},
  sniff: isWorkbook,
  async read({ file, bytes }) {
    const { default: readWorkbook } = await import('read-excel-file/universal');
    const sheets = await whole(file, KIND, async () => {
      await checkSheets(bytes);
      return readWorkbook(bufferOf(bytes));
    });
    // A sheet without a table in it has no data.
    const filled = sheets.filter(({ data }) => data?.some((row) => row.some((value) => value !== null)));
    if (filled.length === 0) throw new Refusal([fileWithout({ file }, KIND, 'a filled sheet')]);
    // A name that ends like a table's, so that nothing else is looked for in it.
    return {
      files: filled.map(({ sheet, data }) => ({
        name: `${sheet.replaceAll('/', '-')}.csv`,
        bytes: tableBytes(data.map((row) => row.map(rounded))),
        isOptional: true,
      })),
    };
  },
});

/** Whether an input is a workbook, by its name, or by the parts in it where a pipe has none. */
export function isWorkbook(head: Uint8Array, name: string): boolean {
  if (!startsWith(head, [0x50, 0x4b, 3, 4])) return false;
  if (/\.(?:xls[xm]|zip)$/i.test(name)) return !/\.zip$/i.test(name);
  return /PK\x03\x04[\s\S]{26}xl\//.test(new TextDecoder('latin1').decode(head));
}

/** Times are fractions of a day in the file, and the library cuts them to the millisecond: a hundredth of a second is meant. */
const rounded = (value: unknown): unknown =>
  value instanceof Date ? new Date(Math.round(value.getTime() / 10) * 10) : value;

/** Most cells of a sheet, empty ones too, which the library fills in: a million rows of twenty. */
const MOST_CELLS = 20_000_000;
/** Most bytes of the parts of a workbook. */
const MOST_BYTES = 1 << 29;

/** @throws Error where a sheet would not fit in memory: a single cell can stand in row 1,048,576. */
async function checkSheets(bytes: Uint8Array): Promise<void> {
  const { unzipSync } = await import('fflate');
  let sum = 0;
  const sheets = unzipSync(bytes, {
    filter: (entry) => {
      sum += entry.originalSize;
      if (sum > MOST_BYTES || !canBeSoLong(entry, bytes)) throw new Error('it is too large');
      return /worksheets\/[^/]*\.xml$/i.test(entry.name);
    },
  });
  for (const sheet of Object.values(sheets)) {
    let [rows, columns] = [0, 0];
    for (const [, , place] of textOf(sheet).matchAll(/\sr\s*=\s*(["'])(.*?)\1/gs)) {
      const match = /^([A-Za-z]{0,3})([1-9]\d{0,6})$/.exec(place);
      if (match === null) throw new Error('a cell is in no row');
      rows = Math.max(rows, Number(match[2]));
      columns = Math.max(columns, columnOf(match[1]));
    }
    if (rows * columns > MOST_CELLS) throw new Error(`a sheet of ${rows} rows and ${columns} columns`);
  }
}

/** Number of a column by its letters: A is 1, AA is 27. */
const columnOf = (letters: string): number =>
  [...letters.toUpperCase()].reduce((number, letter) => number * 26 + letter.charCodeAt(0) - 64, 0);
