import { csvFormatRow } from 'd3-dsv';

/** Rows as CSV with RFC 4180 quoting; every row ends with a line end. */
export const formatCsv = (
  rows: readonly (readonly string[])[],
  lineEnd: '\n' | '\r\n' = '\n',
  isGuarded = false,
): string => rows.map((row) => csvFormatRow(isGuarded ? row.map(guardCell) : [...row]) + lineEnd).join('');

const NUMBER = /^[+-]?\d+(?:\.\d+)?$/;

/**
 * A text cell that no spreadsheet takes for a formula. Text that begins with = + - @, a tab or a line break gets an
 * apostrophe before it, the spreadsheets' own mark for text. A number stays a number. Source: OWASP, CSV Injection.
 */
export const guardCell = (text: string): string =>
  /^[=+\-@\t\r\n]/.test(text) && !NUMBER.test(text) ? `'${text}` : text;
