export { toAscii } from './ascii.ts';
export { formatCsv } from './csv.ts';
export { alignedLines, padText, textWidth } from './display-width.ts';
export { formatField } from './format-field.ts';
export { formatTable, tableOptions } from './table.ts';
