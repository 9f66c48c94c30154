import { defineReaderPlugin, Refusal } from '../../../shared/contract/index.ts';
import { readerMessages as says } from '../../../shared/text/index.ts';
import { bufferOf, canBeSoLong, startsWith, tableBytes, textOf, whole } from '../open/index.ts';

const KIND = 'an Excel workbook';

/** Reader of Excel workbooks (ECMA-376). Each sheet is read as a separate table. */
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
      await checkSheets(bytes, file);
      return readWorkbook(bufferOf(bytes));
    });
    const filled = sheets.filter(({ data }) => data?.some((row) => row.some((value) => value !== null)));
    if (filled.length === 0) throw new Refusal([says['nothing-inside']({ file }, KIND, 'a filled sheet')]);
    // The name ends in .csv so that each sheet is read only as a table.
    return {
      files: filled.map(({ sheet, data }) => ({
        name: `${sheet.replaceAll('/', '-')}.csv`,
        bytes: tableBytes(data.map((row) => row.map(rounded))),
        isOptional: true,
      })),
    };
  },
});

/** Returns whether a zip file is a workbook: by its extension, else by the names of its parts. */
export function isWorkbook(head: Uint8Array, name: string): boolean {
  if (!startsWith(head, [0x50, 0x4b, 3, 4])) return false;
  if (/\.(?:xls[xm]|zip)$/i.test(name)) return !/\.zip$/i.test(name);
  return /PK\x03\x04[\s\S]{26}xl\//.test(new TextDecoder('latin1').decode(head));
}

/** Rounds times to 10 ms: workbooks store fractions of a day, and the library truncates to 1 ms. */
const rounded = (value: unknown): unknown =>
  value instanceof Date ? new Date(Math.round(value.getTime() / 10) * 10) : value;

/** Maximum number of cells in a sheet, with the empty cells that the library fills in; judgment. */
const MAX_CELLS = 20_000_000;
/** Maximum unpacked size of a workbook, bytes; judgment. */
const MAX_BYTES = 1 << 29;

/**
 * Checks the sheets before the library fills in empty cells: even a single cell can be in row 1,048,576.
 *
 * @throws Refusal when a sheet or the workbook is too large. @throws Error when a cell is in no row.
 */
async function checkSheets(bytes: Uint8Array, file: string): Promise<void> {
  const { unzipSync } = await import('fflate');
  const tooLarge = (what: string) => new Refusal([says['damaged large']({ file }, KIND, what)]);
  let sum = 0;
  const sheets = unzipSync(bytes, {
    filter: (entry) => {
      sum += entry.originalSize;
      if (!canBeSoLong(entry, bytes)) throw new Error(`${entry.name} has no such length`);
      if (sum > MAX_BYTES) throw tooLarge(`it unpacks to more than ${MAX_BYTES >> 20} MiB`);
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
    if (rows * columns > MAX_CELLS)
      throw tooLarge(`a sheet has more than ${MAX_CELLS / 1e6} million cells, counting empty ones`);
  }
}

/** Returns the number of a column from its letters: 1 for A, 27 for AA. */
const columnOf = (letters: string): number =>
  [...letters.toUpperCase()].reduce((number, letter) => number * 26 + letter.charCodeAt(0) - 64, 0);
