import { Refusal } from '../../../shared/contract/index.ts';
import {
  cutDropped,
  lineTooLong,
  nulDropped,
  quoteDropped,
  truncatedDropped,
} from '../../../shared/text/index.ts';
import { erasedRun, lastLineEndOf, lineAt } from './byte-lines.ts';
import { createScanNotes, createScanner, type ScanNotes } from './byte-scanner.ts';
import { isWholeLastField, lastFieldsOf } from './last-line.ts';
import { lastUsedColumn } from './layout.ts';
import { checkUtf8, decodeLine, isPassedOver, type LineReader, readFields, splitPlain } from './line-rows.ts';
import { fieldsOf, LONGEST_LINE, readQuoted } from './quoted-lines.ts';
import type { ReaderOptions } from './reader-options.ts';
import { createRowColumns, reserveRows } from './row-columns.ts';
import type { Sniffed } from './sniff-layout.ts';
import type { Tally } from './tally.ts';

/** Bytes of the shortest row, "1,1,1" and its line end. */
const SHORTEST_ROW = 6;
/** Bytes kept from the end of the text read so far, to judge a last line without a line end. */
const TAIL_BYTES = 4096;

const CR = 13;
const QUOTE = 34;
const ERASED = 0xff;

/** A reader at the first row of a log. */
export function createLineReader(
  file: string,
  start: Sniffed,
  options: ReaderOptions,
  tally: Tally,
): LineReader {
  const { layout, headerText } = start;
  const notes = createScanNotes();
  notes.line = start.line;
  const rows = createRowColumns(256);
  rows.hasTemperature = layout.temperatureUnit !== undefined;
  const scan = createScanner(layout, notes);
  const tail = new Uint8Array(0);
  return { file, options, tally, notes, rows, layout, scan, headerText, erased: 0, isTouched: false, tail };
}

/**
 * Reads whole lines.
 *
 * @param bytes Must end with a line end.
 * @param isEnd True when nothing follows, so that a quoted field still open counts as damage.
 * @returns Number of bytes read: all, or up to a record whose quoted field continues beyond them.
 */
export async function readLines(reader: LineReader, bytes: Uint8Array, isEnd: boolean): Promise<number> {
  const { rows, tally, notes } = reader;
  let at = 0;
  // The next quote; searched for again only once it has been passed.
  let quote = -1;
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
    const { stop, next } = lineAt(bytes, at);
    if (quote < at) quote = indexOrEnd(bytes, QUOTE, at);
    if (quote < stop) {
      const to = await readQuoted(reader, bytes, at, isEnd);
      if (to === at) break;
      at = to;
      continue;
    }
    readPlainLine(reader, bytes.subarray(at, stop));
    countLineEnd(notes, bytes, stop, next);
    notes.line++;
    at = next;
  }
  if (at > 0) reader.tail = new Uint8Array(bytes.subarray(Math.max(0, at - TAIL_BYTES), at));
  if (notes.hasHighBytes) checkUtf8(reader, bytes.subarray(0, at));
  return at;
}

/** Reads what follows the last line end, if anything. */
export async function readEnd(reader: LineReader, bytes: Uint8Array): Promise<void> {
  const { tally, notes, file, options } = reader;
  const ended = lastLineEndOf(bytes);
  const at = await readLines(reader, bytes.subarray(0, ended), true);
  const line = bytes.subarray(at);
  const lead = erasedRun(line, 0);
  let stop = line.length;
  while (stop > lead && (line[stop - 1] === 0 || line[stop - 1] === ERASED)) stop--;
  reader.erased += lead + line.length - stop;
  if (lead > 0) reader.isTouched = true;
  if (stop === lead) return;
  if (stop < line.length) reader.isTouched = true;
  const text = decodeLine(reader, line.subarray(lead, stop));
  if (isPassedOver(reader, text)) return;
  const here = { file, line: notes.line };
  reserveRows(reader.rows, 2);
  const fields = await fieldsOf(reader, text);
  if (reader.isTouched || fields === undefined) {
    tally.read++;
    tally.drop(reader.isTouched ? nulDropped(here) : quoteDropped(here));
    return;
  }
  const expected = reader.layout.columns.length;
  const named = reader.layout.columns.filter((column, i) => column.name !== '' || i < expected - 1).length;
  if (fields.length < named) {
    tally.read++;
    tally.drop(truncatedDropped(here, fields.length, expected));
    return;
  }
  const isCut =
    lastUsedColumn(reader.layout) >= fields.length - 1 &&
    !isWholeLastField(fields.at(-1)!, lastFieldsOf(reader.tail, reader.layout.delimiter, fields.length));
  if (isCut && !options.keepLast) {
    tally.read++;
    tally.drop(cutDropped(here, fields.at(-1)!));
    return;
  }
  readFields(reader, fields.length < expected ? [...fields, ''] : fields, notes.line, text);
}

/**
 * The rest of a long stretch without a line end, after erased bytes are removed from its start.
 *
 * @throws Refusal when it is still too long for a line.
 */
export function shorten(reader: LineReader, bytes: Uint8Array): Uint8Array {
  const erased = erasedRun(bytes, 0);
  if (erased > 0) {
    reader.erased += erased;
    reader.isTouched = true;
  }
  const rest = bytes.subarray(erased);
  if (rest.length > LONGEST_LINE && lastLineEndOf(rest) === 0) {
    throw new Refusal([lineTooLong({ file: reader.file, line: reader.notes.line }, LONGEST_LINE)]);
  }
  return rest;
}

/** Offset of the next `byte` value; the length of the bytes when there is none. */
function indexOrEnd(bytes: Uint8Array, byte: number, from: number): number {
  const at = bytes.indexOf(byte, from);
  return at < 0 ? bytes.length : at;
}

function countLineEnd(notes: ScanNotes, bytes: Uint8Array, stop: number, next: number): void {
  if (next - stop === 2) notes.crlf++;
  else if (bytes[stop] === CR) notes.cr++;
  else notes.lf++;
}

function readPlainLine(reader: LineReader, bytes: Uint8Array): void {
  const { tally, notes, file } = reader;
  if (bytes.indexOf(0) >= 0) {
    tally.read++;
    tally.drop(nulDropped({ file, line: notes.line }));
    return;
  }
  const text = decodeLine(reader, bytes);
  if (!isPassedOver(reader, text))
    readFields(reader, splitPlain(text, reader.layout.delimiter), notes.line, text);
}
