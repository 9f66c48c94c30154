import { csvFormatRow } from 'd3-dsv';

/** Rows as CSV, RFC 4180 quoting, every row with a line end. */
export const formatCsv = (
  rows: readonly (readonly string[])[],
  lineEnd: '\n' | '\r\n' = '\n',
  isGuarded = false,
): string => rows.map((row) => csvFormatRow(isGuarded ? row.map(guardCell) : [...row]) + lineEnd).join('');

const NUMBER = /^[+-]?\d+(?:\.\d+)?$/;

/**
 * A text cell that no spreadsheet takes for a formula: one that begins with = + - @, a tab or a line break gets an apostrophe before
 * it, as spreadsheets write text themselves. A number stays one. Source: OWASP, CSV Injection.
 */
export const guardCell = (text: string): string =>
  /^[=+\-@\t\r\n]/.test(text) && !NUMBER.test(text) ? `'${text}` : text;
