export { alignedLines, padText, textWidth, toAscii } from './plain-text.ts';
export { formatCsv, formatField, formatTable, tableOptions } from './table.ts';
