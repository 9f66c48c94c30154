/**
 * Rows as CSV, RFC 4180 quoting, every row with a line end.
 *
 * Written here and not by the library that reads CSV: its stream takes as long over a table as everything else about the table.
 */
export const formatCsv = (rows: readonly (readonly string[])[], lineEnd: '\n' | '\r\n' = '\n'): string =>
  rows.map((row) => `${row.map(quoted).join(',')}${lineEnd}`).join('');

/** Quoted where it has to be; with a vertical bar too, which some programs take for a delimiter. */
const quoted = (text: string): string => (/[",|\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
