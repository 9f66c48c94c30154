import { Refusal } from '../../shared/diagnostics/diagnostic.ts';
import { headerChangedUnknown, lineTooLong } from '../../shared/diagnostics/sounding-refusals.ts';
import {
  controlDropped,
  cutDropped,
  fieldsDropped,
  headerChanged,
  headerRepeated,
  notUtf8,
  nulDropped,
  quoteDropped,
  strayQuote,
  truncatedDropped,
} from '../../shared/diagnostics/soundings.ts';
import { createScanNotes, createScanner, type ScanNotes, type Scanner } from './byte-scanner.ts';
import { readColumnName } from './column-names.ts';
import { decodeBytes } from './encodings.ts';
import { isComment, isUsableHeader, missingRoles } from './find-header.ts';
import { isWholeLastField, lastFieldsOf } from './last-line.ts';
import { type Layout, lastUsedColumn } from './layout.ts';
import { parseNumber } from './numbers.ts';
import { leavesQuoteOpen, parseRecords } from './quoted-records.ts';
import type { ReaderOptions } from './reader-options.ts';
import { createRowColumns, type RowColumns, reserveRows } from './row-columns.ts';
import { relayout, type Sniffed } from './sniff-layout.ts';
import type { Tally } from './tally.ts';
import { controlByte, isDiagnostic, readRow } from './tolerant-row.ts';

/** Longest line, bytes; logs have lines of some hundred. */
export const LONGEST_LINE = 1024 * 1024;
/** Lines that a quoted field may run over before its opening quote is taken for damage. */
const LONGEST_QUOTED_LINES = 200;
/** Quoted records parsed together, at most. */
const BATCH = 2000;
/** Bytes of the shortest row, "1,1,1" and its line end. */
const SHORTEST_ROW = 6;
/** Bytes kept of what was read last, to judge a last line without a line end. */
const TAIL_BYTES = 4096;

const LF = 10;
const CR = 13;
const QUOTE = 34;
const ERASED = 0xff;

/** Reads the lines of one log into rows, one stretch of bytes after another. */
export interface LineReader {
  readonly file: string;
  readonly options: ReaderOptions;
  readonly tally: Tally;
  readonly notes: ScanNotes;
  readonly rows: RowColumns;
  layout: Layout;
  scan: Scanner | undefined;
  /** Text of the header in force, to know it again. */
  headerText: string | undefined;
  /** Erased bytes (00 or FF) passed over since the last row. */
  erased: number;
  /** True when erased bytes stand right before the next line. */
  isTouched: boolean;
  /** What was read last. */
  tail: Uint8Array;
}

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
 * @param bytes End with a line end.
 * @param isEnd True when nothing follows: a quoted field still open is then damage.
 * @returns Bytes read: all, or up to a record whose quoted field goes on beyond them.
 */
export async function readLines(reader: LineReader, bytes: Uint8Array, isEnd: boolean): Promise<number> {
  const { rows, tally, notes } = reader;
  let at = 0;
  // The next quote, looked for again only when it is passed.
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
  if (at > 0) reader.tail = Uint8Array.from(bytes.subarray(Math.max(0, at - TAIL_BYTES), at));
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
 * What is left of a long stretch without a line end after erased bytes are taken off its start.
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

/** Length of a run of 00 or FF bytes; one FF alone is a letter of windows-1252. */
function erasedRun(bytes: Uint8Array, from: number): number {
  let to = from;
  while (to < bytes.length && (bytes[to] === 0 || bytes[to] === ERASED)) to++;
  return to - from === 1 && bytes[from] === ERASED ? 0 : to - from;
}

/** Offset of the next such byte; that of the end where there is none. */
function indexOrEnd(bytes: Uint8Array, byte: number, from: number): number {
  const at = bytes.indexOf(byte, from);
  return at < 0 ? bytes.length : at;
}

/** Where the content of a line stops and the next line begins. */
function lineAt(bytes: Uint8Array, from: number): { stop: number; next: number } {
  let stop = from;
  while (stop < bytes.length && bytes[stop] !== LF && bytes[stop] !== CR) stop++;
  return { stop, next: stop + (bytes[stop] === CR && bytes[stop + 1] === LF ? 2 : 1) };
}

/** Offset after the last line end; 0 when there is none. */
function lastLineEndOf(bytes: Uint8Array): number {
  return Math.max(bytes.lastIndexOf(LF), bytes.lastIndexOf(CR)) + 1;
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

function decodeLine(reader: LineReader, bytes: Uint8Array): string {
  const { text, encoding } = decodeBytes(bytes);
  if (encoding !== 'utf-8') noteEncoding(reader);
  return text;
}

function noteEncoding(reader: LineReader): void {
  const { tally, file, notes } = reader;
  const diagnostic = notUtf8({ file, line: notes.line });
  if (tally.counted(diagnostic.code) === 0) tally.doubt(diagnostic);
}

function checkUtf8(reader: LineReader, bytes: Uint8Array): void {
  if (decodeBytes(bytes).encoding !== 'utf-8') noteEncoding(reader);
  reader.notes.hasHighBytes = false;
}

/** Lines that are no rows: blank, comments, the header again. */
function isPassedOver(reader: LineReader, text: string): boolean {
  if (/^[\s,;|]*$/.test(text) || isComment(text)) return true;
  if (reader.headerText === undefined || text.trim() !== reader.headerText) return false;
  reader.tally.doubt(headerRepeated({ file: reader.file, line: reader.notes.line }));
  return true;
}

export const splitPlain = (text: string, delimiter: string): string[] =>
  delimiter === ' ' ? text.trim().split(/ +/) : text.split(delimiter);

/** One data row, or a header in mid-file. */
function readFields(reader: LineReader, fields: readonly string[], line: number, text: string): void {
  const { tally, file } = reader;
  const here = { file, line };
  if (looksLikeHeader(fields) && takeHeader(reader, fields, line, text)) return;
  tally.read++;
  if (reader.isTouched) {
    reader.isTouched = false;
    reader.erased = 0;
    tally.drop(nulDropped(here));
    return;
  }
  const expected = reader.layout.columns.length;
  if (fields.length < expected || fields.slice(expected).some((field) => field.trim() !== '')) {
    tally.drop(fieldsDropped(here, fields.length, expected));
    return;
  }
  if (fields.some((field) => field.includes('"')) && !text.trimStart().startsWith('"')) {
    tally.doubt(strayQuote(here));
  }
  const control = controlByte(text);
  if (control === undefined) storeRow(reader, fields, line);
  else tally.drop(controlDropped(here, control));
}

function storeRow(reader: LineReader, fields: readonly string[], line: number): void {
  const { rows, notes, tally } = reader;
  const row = readRow(fields, reader.layout, { file: reader.file, line }, tally);
  if (isDiagnostic(row)) {
    tally.drop(row);
    return;
  }
  reader.erased = 0;
  const i = rows.count++;
  rows.lat[i] = row.lat;
  rows.lon[i] = row.lon;
  rows.depth[i] = row.depth;
  rows.time[i] = row.time;
  rows.temperature[i] = row.temperature;
  rows.line[i] = line;
  if (row.decimals > notes.decimals) notes.decimals = row.decimals;
  if (row.timeForm !== undefined) notes.forms[row.timeForm]++;
}

/** True for a line of words: no field is a number, and at least two are names. */
function looksLikeHeader(fields: readonly string[]): boolean {
  let names = 0;
  for (const field of fields) {
    if (/^\s*["']?[\p{L}]/u.test(field)) names++;
    else if (/\d/.test(field)) return false;
  }
  return names >= 2;
}

/** Takes a header in mid-file; false when the line is not one. @throws Refusal when it names other things. */
function takeHeader(reader: LineReader, fields: readonly string[], line: number, text: string): boolean {
  const { file, tally, options } = reader;
  const here = { file, line };
  const names = fields.map(readColumnName);
  if (isUsableHeader(names)) {
    reader.layout = relayout(names, reader.layout, options, here);
    reader.scan = createScanner(reader.layout, reader.notes);
    reader.headerText = text.trim();
    tally.doubt(headerChanged(here, reader.headerText));
    return true;
  }
  const known = names.filter((name) => name.role !== 'ignore').length;
  const isOldHeader = names.some((name) => reader.layout.columns.some((column) => column.name === name.name));
  if (known < 2 && !isOldHeader) return false;
  throw new Refusal([
    headerChangedUnknown(
      here,
      names.map((name) => name.name),
      missingRoles(names),
    ),
  ]);
}

/** Fields of one record with or without quotes; undefined when its quotes are wrong. */
async function fieldsOf(reader: LineReader, text: string): Promise<readonly string[] | undefined> {
  const { delimiter } = reader.layout;
  if (!opensQuote(text, delimiter)) return splitPlain(text, delimiter);
  if (leavesQuoteOpen(text, delimiter)) return undefined;
  return (await parseRecords([text], delimiter))[0];
}

/** True when a field of the line begins with a quote. */
const opensQuote = (text: string, delimiter: string): boolean =>
  text.split(delimiter).some((field) => field.trimStart().startsWith('"'));

interface QuotedRecord {
  readonly text: string;
  readonly line: number;
  /** Physical lines. */
  readonly lines: number;
  readonly next: number;
  /** How the fields are got: fast-csv, a plain split (stray quotes only), or not at all. */
  readonly kind: 'quoted' | 'plain' | 'broken';
}

/**
 * Reads as many records with quotes as follow one another from `from` on; fast-csv parses them together.
 *
 * @returns Offset after them; `from` when the first goes on beyond the bytes.
 */
async function readQuoted(
  reader: LineReader,
  bytes: Uint8Array,
  from: number,
  isEnd: boolean,
): Promise<number> {
  const { notes, tally, file } = reader;
  const records: QuotedRecord[] = [];
  let at = from;
  let line = notes.line;
  while (at < bytes.length && records.length < BATCH) {
    const { stop } = lineAt(bytes, at);
    if (!bytes.subarray(at, stop).includes(QUOTE) || (records.length > 0 && erasedRun(bytes, at) > 0)) break;
    const record = frameRecord(reader, bytes, at, line, isEnd);
    if (record === undefined) break;
    records.push(record);
    at = record.next;
    line += record.lines;
  }
  const quoted = records.filter((record) => record.kind === 'quoted');
  const parsed = await parseRecords(
    quoted.map((record) => record.text),
    reader.layout.delimiter,
  );
  let nextParsed = 0;
  for (const record of records) {
    notes.line = record.line;
    const fields =
      record.kind === 'quoted'
        ? parsed[nextParsed++]
        : record.kind === 'plain'
          ? splitPlain(record.text, reader.layout.delimiter)
          : undefined;
    if (fields === undefined) {
      tally.read++;
      reader.isTouched = false;
      tally.drop(quoteDropped({ file, line: record.line }));
    } else if (!isPassedOver(reader, record.text)) readFields(reader, fields, record.line, record.text);
  }
  notes.line = line;
  return at;
}

/** One record that begins at `from`: undefined when it goes on beyond the bytes. */
function frameRecord(
  reader: LineReader,
  bytes: Uint8Array,
  from: number,
  line: number,
  isEnd: boolean,
): QuotedRecord | undefined {
  const { delimiter } = reader.layout;
  const first = lineAt(bytes, from);
  const opening = decodeLine(reader, bytes.subarray(from, first.stop));
  const one = { text: opening, line, lines: 1, next: first.next };
  if (!opensQuote(opening, delimiter)) return { ...one, kind: 'plain' };
  if (!leavesQuoteOpen(opening, delimiter)) return { ...one, kind: 'quoted' };
  let text = opening;
  let at = first.next;
  for (let lines = 2; lines <= LONGEST_QUOTED_LINES; lines++) {
    if (at >= bytes.length)
      return isEnd || bytes.length - from > LONGEST_LINE / 2 ? { ...one, kind: 'broken' } : undefined;
    const { stop, next } = lineAt(bytes, at);
    const more = decodeLine(reader, bytes.subarray(at, stop));
    // A line that is a row by itself: the quote was never closed.
    if (isRowOf(reader.layout, more)) return { ...one, kind: 'broken' };
    text += `\n${more}`;
    at = next;
    if (!leavesQuoteOpen(more, delimiter, true)) return { text, line, lines, next: at, kind: 'quoted' };
  }
  return { ...one, kind: 'broken' };
}

/** True when a line by itself has as many fields as the header and numbers where they belong. */
function isRowOf(layout: Layout, text: string): boolean {
  const fields = splitPlain(text, layout.delimiter).map((field) => field.trim().replace(/^"(.*)"$/, '$1'));
  if (fields.length !== layout.columns.length) return false;
  const columns = [layout.at.lat, layout.at.lon, layout.at.depth].filter((column) => column >= 0);
  return columns.every((column) => !Number.isNaN(parseNumber(fields[column], layout.decimal)));
}
