import { Refusal } from '../../../shared/contract/index.ts';
import {
  controlDropped,
  fieldsDropped,
  headerChanged,
  headerChangedUnknown,
  headerRepeated,
  notUtf8,
  nulDropped,
  strayQuote,
} from '../../../shared/text/index.ts';
import { createScanner, type ScanNotes, type Scanner } from './byte-scanner.ts';
import { readColumnName } from './column-names.ts';
import { decodeBytes } from './encodings.ts';
import { isComment, isUsableHeader, missingRoles } from './find-header.ts';
import type { Layout } from './layout.ts';
import type { ReaderOptions } from './reader-options.ts';
import type { RowColumns } from './row-columns.ts';
import { relayout } from './sniff-layout.ts';
import type { Tally } from './tally.ts';
import { controlByte, isDiagnostic, readRow } from './tolerant-row.ts';

/** A log while its lines are read into rows. */
export interface LineReader {
  readonly file: string;
  readonly options: ReaderOptions;
  readonly tally: Tally;
  readonly notes: ScanNotes;
  readonly rows: RowColumns;
  layout: Layout;
  scan: Scanner | undefined;
  /** Text of the current header, used to recognize a repeat. */
  headerText: string | undefined;
  /** Erased bytes (00 or FF) skipped since the last row. */
  erased: number;
  /** True when erased bytes directly precede the next line. */
  isTouched: boolean;
  /** The last bytes read. */
  tail: Uint8Array;
}

export function decodeLine(reader: LineReader, bytes: Uint8Array): string {
  const { text, encoding } = decodeBytes(bytes);
  if (encoding !== 'utf-8') noteEncoding(reader);
  return text;
}

function noteEncoding(reader: LineReader): void {
  const { tally, file, notes } = reader;
  tally.doubtOnce(notUtf8({ file, line: notes.line }));
}

export function checkUtf8(reader: LineReader, bytes: Uint8Array): void {
  if (decodeBytes(bytes).encoding !== 'utf-8') noteEncoding(reader);
  reader.notes.hasHighBytes = false;
}

/** True for lines that are not rows: blank lines, comments, a repeated header. */
export function isPassedOver(reader: LineReader, text: string): boolean {
  if (/^[\s,;|]*$/.test(text) || isComment(text)) return true;
  if (reader.headerText === undefined || text.trim() !== reader.headerText) return false;
  reader.tally.doubt(headerRepeated({ file: reader.file, line: reader.notes.line }));
  return true;
}

export const splitPlain = (text: string, delimiter: string): string[] =>
  delimiter === ' ' ? text.trim().split(/ +/) : text.split(delimiter);

/** Reads one data row, or a header in the middle of the file. */
export function readFields(reader: LineReader, fields: readonly string[], line: number, text: string): void {
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

/**
 * Takes a header in the middle of a file; false when the line is not a header. @throws Refusal for a header
 * without the columns that a sounding needs.
 */
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
