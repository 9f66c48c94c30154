import { isUtf8 } from 'node:buffer';
import { type Diagnostic, Refusal } from '../../../shared/contract/index.ts';
import {
  type At,
  refusalMessages as refusals,
  soundingMessages as says,
} from '../../../shared/text/index.ts';
import { createScanner } from './byte-scanner.ts';
import { applyMap } from './column-map.ts';
import { namesOf, readColumnName } from './column-names.ts';
import { decodeBytes } from './encodings.ts';
import { isUsableHeader, missingRoles } from './find-header.ts';
import { CR, erasedRun, isComment, LONGEST_LINE, lastLineEndOf } from './lines.ts';
import { relayout } from './place-columns.ts';
import { type LineRecord, recordAt } from './quoted-lines.ts';
import type { ReaderOptions } from './reader-options.ts';
import { createRowColumns, createScanNotes, reserveRows } from './row-columns.ts';
import type { Sniffed } from './sniff-layout.ts';
import type { Tally } from './tally.ts';
import { controlByte, readRow } from './tolerant-row.ts';

/** Length of the shortest row, "1,1,1" and its line end, bytes. */
const SHORTEST_ROW = 6;
/** Maximum number of bytes kept from the end of the text read, to judge a last line without a line end. */
const TAIL_BYTES = 4096;

export type LineReader = ReturnType<typeof createLineReader>;

export function createLineReader(
  { layout, headerText, line }: Sniffed,
  options: ReaderOptions,
  tally: Tally,
) {
  const notes = createScanNotes(line);
  const rows = createRowColumns(256);
  rows.hasTemperature = layout.temperatureUnit !== undefined;
  return {
    ...{ options, tally, notes, rows, layout, scan: createScanner(layout, notes) },
    /** Text of the current header, used to recognize a repeat. */
    headerText,
    /** Number of erased bytes (00 or FF) skipped since the last row. */
    erased: 0,
    /** True when erased bytes directly precede the next line, or follow the last line of the log. */
    isTouched: false,
    tail: new Uint8Array(0),
  };
}

/**
 * Reads whole lines.
 *
 * @param bytes The last byte must end a line.
 * @param isEnd True when the log ends here. A quoted field that is still open then counts as damage.
 * @returns Number of bytes read: all, or the bytes before a record that continues after the last byte.
 */
export function readLines(reader: LineReader, bytes: Uint8Array, isEnd: boolean): number {
  const { rows, tally, notes } = reader;
  let at = 0;
  while (at < bytes.length) {
    reserveRows(rows, Math.ceil((bytes.length - at) / SHORTEST_ROW) + 1);
    if (reader.scan !== undefined && !reader.isTouched) {
      const before = rows.count;
      at = reader.scan(bytes, at, bytes.length, rows);
      tally.read += rows.count - before;
      if (rows.count > before) reader.erased = 0;
      if (at >= bytes.length) break;
    }
    const erased = erasedRun(bytes, at);
    if (erased > 0) {
      reader.erased += erased;
      reader.isTouched = true;
      at += erased;
      continue;
    }
    const record = recordAt(bytes, at, reader.layout, isEnd);
    if (record === undefined) break;
    readRecord(reader, record);
    at = record.next;
    if (bytes[at - 1] === CR) notes.cr++;
    else if (bytes[at - 2] === CR) notes.crlf++;
    else notes.lf++;
  }
  if (at > 0) reader.tail = new Uint8Array(bytes.subarray(Math.max(0, at - TAIL_BYTES), at));
  if (notes.hasHighBytes && !isUtf8(bytes.subarray(0, at))) noteEncoding(reader);
  notes.hasHighBytes = false;
  return at;
}

function readRecord(reader: LineReader, { text, isUtf8, fields, lines }: LineRecord): void {
  const { notes, tally } = reader;
  const isErased = text.includes('\0') && !text.includes('"');
  if (!isUtf8 && !isErased) noteEncoding(reader);
  if (fields === undefined || isErased) {
    tally.read++;
    if (!isErased) reader.isTouched = false;
    tally.drop(isErased ? says.erased({ line: notes.line }) : says.quote({ line: notes.line }));
  } else if (!isPassedOver(reader, text)) readFields(reader, fields, text);
  notes.line += lines;
}

/**
 * Removes erased bytes from the start of a long stretch that could not be read yet.
 *
 * @throws Refusal when the rest has no line end and is longer than LONGEST_LINE.
 */
export function shorten(reader: LineReader, bytes: Uint8Array): Uint8Array {
  const erased = erasedRun(bytes, 0);
  if (erased > 0) {
    reader.erased += erased;
    reader.isTouched = true;
  }
  const rest = bytes.subarray(erased);
  if (rest.length > LONGEST_LINE && lastLineEndOf(rest) === 0) {
    throw new Refusal([refusals['long-line']({ line: reader.notes.line }, LONGEST_LINE)]);
  }
  return rest;
}

export function decodeLine(reader: LineReader, bytes: Uint8Array): string {
  const { text, encoding } = decodeBytes(bytes);
  if (encoding !== 'utf-8') noteEncoding(reader);
  return text;
}

function noteEncoding(reader: LineReader): void {
  reader.tally.flagOnce(says.encoding({ line: reader.notes.line }));
}

/** Returns whether a line is not a row: a comment, a repeated header, or a line of blanks and delimiters. */
export function isPassedOver(reader: LineReader, text: string): boolean {
  if (/^[\s,;|]*$/.test(text) || isComment(text)) return true;
  if (reader.headerText === undefined || text.trim() !== reader.headerText) return false;
  reader.tally.flag(says['header-repeated']({ line: reader.notes.line }));
  return true;
}

/** Reads one data row, or a header in the middle of the file. */
export function readFields(reader: LineReader, fields: readonly string[], text: string): void {
  const { tally } = reader;
  const here = { line: reader.notes.line };
  if (looksLikeHeader(fields) && takeHeader(reader, fields, here, text)) return;
  tally.read++;
  const fault = storeRow(reader, fields, text, here);
  if (fault === undefined || reader.isTouched) reader.erased = 0;
  if (fault !== undefined) tally.drop(fault);
  reader.isTouched = false;
}

/** Stores a data row. @returns Why the row is dropped; undefined when it is stored. */
function storeRow(
  reader: LineReader,
  fields: readonly string[],
  text: string,
  here: { readonly line: number },
): Diagnostic | undefined {
  if (reader.isTouched) return says.erased(here);
  const expected = reader.layout.columns.length;
  if (fields.length < expected || fields.slice(expected).some((field) => field.trim() !== ''))
    return says.fields(here, fields.length, expected);
  if (fields.some((field) => field.includes('"')) && !text.trimStart().startsWith('"'))
    reader.tally.flag(says['stray-quote'](here));
  const control = controlByte(text);
  return control === undefined ? readRow(fields, reader, here) : says.control(here, control);
}

function looksLikeHeader(fields: readonly string[]): boolean {
  let names = 0;
  for (const field of fields) {
    if (/^\s*["']?[\p{L}]/u.test(field)) names++;
    else if (/\d/.test(field)) return false;
  }
  return names >= 2;
}

/**
 * Switches to the layout of a header in the middle of a file. Returns false when the line is not a header.
 *
 * @throws Refusal for a header whose columns do not suffice for a sounding or are ambiguous.
 */
function takeHeader(reader: LineReader, fields: readonly string[], here: At, text: string): boolean {
  const { tally, options } = reader;
  const names = fields.map(readColumnName);
  const known = names.filter((name) => name.role !== 'ignore').length;
  const isOldHeader = names.some((name) => reader.layout.columns.some((column) => column.name === name.name));
  if (known < 2 && !isOldHeader) return false;
  const columns = applyMap(names, options.map);
  const isPlaced = reader.layout.at.lat >= 0 && options.fixes === undefined;
  if (!isUsableHeader(columns) || (isPlaced && missingRoles(columns).length > 0))
    throw new Refusal([refusals['header-changed'](here, namesOf(columns), missingRoles(columns))]);
  reader.layout = relayout(columns, reader.layout, options, here);
  reader.scan = createScanner(reader.layout, reader.notes);
  reader.headerText = text.trim();
  tally.flag(says['header-changed'](here, reader.headerText));
  return true;
}
