import { Refusal } from '../../../shared/contract/diagnostic.ts';
import { defineReaderPlugin } from '../../../shared/contract/plugin.ts';
import { fileWithout } from '../../../shared/text/messages/readers.ts';
import { tableBytes } from '../open/points-table.ts';
import { bufferOf, startsWith, whole } from '../open/reading.ts';

const KIND = 'an Excel workbook';

/** Sheets of an Excel workbook (ECMA-376), each a table of its own. */
export const excel = defineReaderPlugin({
  name: 'excel',
  summary: 'Reads the sheets of Excel workbooks (.xlsx) as tables.',
  stage: 'reader',
  extensions: ['.xlsx', '.xlsm'],
  options: {},
  sniff: (head, name) => startsWith(head, [0x50, 0x4b, 3, 4]) && /\.xls[xm]$/i.test(name),
  async read({ file, bytes }) {
    const { default: readWorkbook } = await import('read-excel-file/universal');
    const sheets = await whole(file, KIND, () => readWorkbook(bufferOf(bytes)));
    const filled = sheets.filter(({ data }) => data.some((row) => row.some((value) => value !== null)));
    if (filled.length === 0) throw new Refusal([fileWithout({ file }, KIND, 'a filled sheet')]);
    // A name that ends like a table's, so that nothing else is looked for in it.
    return {
      files: filled.map(({ sheet, data }) => ({
        name: `${sheet.replaceAll('/', '-')}.csv`,
        bytes: tableBytes(data),
        isOptional: true,
      })),
    };
  },
});
