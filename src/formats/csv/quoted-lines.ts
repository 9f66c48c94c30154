import { parseNumber } from '../../../shared/text/index.ts';
import { decodeBytes } from './encodings.ts';
import type { Layout } from './layout.ts';
import { bareField, LONGEST_LINE, lineAt, roughFields, splitPlain, splitQuoted } from './lines.ts';

/** Maximum number of lines in a record; judgment. A quote still open after that many lines is damage. */
export const LONGEST_QUOTED_LINES = 200;

/** A line, or several lines when quotes enclose the line ends between them. */
export interface LineRecord {
  readonly text: string;
  readonly isUtf8: boolean;
  /** Number of physical lines. */
  readonly lines: number;
  /** Offset of the byte after the record. */
  readonly next: number;
  /** Fields of the record; undefined when quotes in it are malformed. */
  readonly fields: readonly string[] | undefined;
}

/** Splits a whole record into fields; undefined when its quotes are malformed. */
export function fieldsOf(text: string, delimiter: string): readonly string[] | undefined {
  // A quote inside a field is an ordinary character.
  const plain = splitPlain(text, delimiter);
  if (!plain.some((field) => field.trimStart().startsWith('"'))) return plain;
  const { fields, fault } = splitQuoted(text, delimiter);
  return fault === undefined ? fields : undefined;
}

/**
 * Reads the record that begins at offset `from`; undefined when it continues beyond the bytes.
 *
 * @param isEnd True when the log ends where `bytes` ends. A quoted field that is still open there then counts
 * as damage. In a record longer than half of LONGEST_LINE, an open field always counts as damage.
 */
export function recordAt(
  bytes: Uint8Array,
  from: number,
  layout: Layout,
  isEnd: boolean,
): LineRecord | undefined {
  const { delimiter } = layout;
  const first = lineAt(bytes, from);
  const { text, encoding } = decodeBytes(bytes.subarray(from, first.stop));
  const isUtf8 = encoding === 'utf-8';
  if (!text.includes('"'))
    return { text, isUtf8, lines: 1, next: first.next, fields: splitPlain(text, delimiter) };
  const one = { text, isUtf8, lines: 1, next: first.next };
  let whole = one;
  while (splitQuoted(whole.text, delimiter).fault === 'open') {
    const damaged = { ...one, fields: undefined };
    if (whole.next >= bytes.length)
      return isEnd || bytes.length - from > LONGEST_LINE / 2 ? damaged : undefined;
    const { stop, next } = lineAt(bytes, whole.next);
    const more = decodeBytes(bytes.subarray(whole.next, stop));
    // If the next line is a complete row, the quote was never closed.
    if (whole.lines === LONGEST_QUOTED_LINES || isRowOf(layout, more.text)) return damaged;
    whole = {
      text: `${whole.text}\n${more.text}`,
      isUtf8: whole.isUtf8 && more.encoding === 'utf-8',
      lines: whole.lines + 1,
      next,
    };
  }
  return { ...whole, fields: fieldsOf(whole.text, delimiter) };
}

function isRowOf({ delimiter, columns, at, decimal }: Layout, text: string): boolean {
  const isRow = (fields: readonly string[]): boolean =>
    fields.length === columns.length &&
    [at.lat, at.lon, at.depth].every(
      (column) => column < 0 || !Number.isNaN(parseNumber(fields[column], decimal)),
    );
  return isRow(roughFields(text, delimiter)) || isRow(splitPlain(text, delimiter).map(bareField));
}
