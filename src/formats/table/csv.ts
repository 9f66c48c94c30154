import { csvFormatRow } from 'd3-dsv';

/** Rows as CSV, RFC 4180 quoting, every row with a line end. */
export const formatCsv = (rows: readonly (readonly string[])[], lineEnd: '\n' | '\r\n' = '\n'): string =>
  rows.map((row) => csvFormatRow([...row]) + lineEnd).join('');
