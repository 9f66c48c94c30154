import { deburr } from 'es-toolkit/string';

/**
 * Code points that a terminal draws two columns wide: East Asian wide characters and emoji. Source: Unicode
 * Standard Annex 11, common blocks only.
 */
const WIDE =
  /[\u1100-\u115f\u2e80-\ua4cf\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\uffe0-\uffe6\u{1f300}-\u{1faff}\u{20000}-\u{3fffd}]/u;

/** Code points without a width: marks, and format, control and surrogate characters. */
const NO_WIDTH = /[\p{M}\p{Cf}\p{Cc}\p{Cs}]/gu;

/** Returns the number of terminal columns of a text. Marks and control characters, even tabs, count as 0. */
export function textWidth(text: string): number {
  let width = 0;
  for (const letter of text.normalize('NFC').replace(NO_WIDTH, '')) width += WIDE.test(letter) ? 2 : 1;
  return width;
}

/** Pads a text to `width` columns. White space becomes spaces, and other NO_WIDTH characters are removed. */
export function padText(text: string, width: number, alignRight = false): string {
  const clean = text.normalize('NFC').replace(/\s/gu, ' ').replace(NO_WIDTH, '');
  const fill = ' '.repeat(Math.max(0, width - textWidth(clean)));
  return alignRight ? fill + clean : clean + fill;
}

/**
 * Formats rows as aligned lines: columns as wide as their widest cells, and two blanks between columns.
 *
 * @param rows At least one row; all have the same length.
 */
export function alignedLines(rows: readonly (readonly string[])[]): string[] {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((row) => textWidth(row[column]))));
  return rows.map((row) =>
    row
      .map((cell, column) => padText(cell, widths[column]))
      .join('  ')
      .trimEnd(),
  );
}

/**
 * Converts a text to printable ASCII for a small screen. Accents are dropped, letters such as ø become the
 * nearest plain letters, dashes and quotes become plain ones, the degree sign becomes `deg`, and characters
 * without an ASCII form become `?`.
 *
 * Control characters and runs of white space become one space; leading and trailing spaces are removed.
 */
export function toAscii(text: string): string {
  return deburr(text)
    .normalize('NFKD')
    .replace(/\p{M}+/gu, '')
    .replace(/[\u2010-\u2015\u2212]/g, '-')
    .replace(/[\u2018\u2019\u02bc]/g, "'")
    .replace(/[\u201c\u201d]/g, '"')
    .replace(/\u00b0/g, 'deg')
    .replace(/[\s\u0000-\u001f\u007f-\u009f]+/g, ' ')
    .replace(/[^\x20-\x7e]/gu, '?')
    .trim();
}
