import { csvFormatRow } from 'd3-dsv';

/** Rows as CSV, RFC 4180 quoting, every row with a line end. */
export const formatCsv = (rows: readonly (readonly string[])[], lineEnd: '\n' | '\r\n' = '\n'): string =>
  rows.map((row) => csvFormatRow([...row]) + lineEnd).join('');

/**
 * A text cell that no spreadsheet takes for a formula: one that begins with = + - @, a tab or a line break gets an apostrophe before
 * it, as spreadsheets write text themselves. Source: OWASP, CSV Injection.
 */
export const guardCell = (text: string): string => (/^[=+\-@\t\r\n]/.test(text) ? `'${text}` : text);
