import { parseString } from 'fast-csv';
import { parseNumber } from '../../../shared/text/index.ts';
import { decodeBytes } from './encodings.ts';
import type { Layout } from './layout.ts';
import { erasedRun, LONGEST_LINE, lineAt, splitPlain } from './lines.ts';

/** Most lines that a quoted field may span before its opening quote counts as damage. */
const LONGEST_QUOTED_LINES = 200;
/** Most quoted records parsed together. */
const BATCH = 2000;
const QUOTE = 34;

/** Lines that belong together, since quotes may enclose line ends. */
interface RecordLines {
  readonly text: string;
  readonly isUtf8: boolean;
  readonly line: number;
  /** Physical lines. */
  readonly lines: number;
  /** Offset after them. */
  readonly next: number;
}

interface FramedRecord extends RecordLines {
  /** How the fields are split: by fast-csv, at delimiters (stray quotes only), or not at all. */
  readonly kind: 'quoted' | 'plain' | 'broken';
}

export interface QuotedRecord extends RecordLines {
  /** Undefined when its quotes are malformed. */
  readonly fields: readonly string[] | undefined;
}

/**
 * All consecutive records with quotes that begin at `from`; fast-csv parses them together.
 *
 * @returns None when the first record continues beyond the bytes.
 */
export async function quotedRecords(
  bytes: Uint8Array,
  from: number,
  firstLine: number,
  layout: Layout,
  isEnd: boolean,
): Promise<QuotedRecord[]> {
  const records: FramedRecord[] = [];
  let at = from;
  let line = firstLine;
  while (at < bytes.length && records.length < BATCH) {
    const { stop } = lineAt(bytes, at);
    if (!bytes.subarray(at, stop).includes(QUOTE) || (records.length > 0 && erasedRun(bytes, at) > 0)) break;
    const record = frameRecord(bytes, at, line, layout, isEnd);
    if (record === undefined) break;
    records.push(record);
    at = record.next;
    line += record.lines;
  }
  const { delimiter } = layout;
  const quoted = records.filter(({ kind }) => kind === 'quoted').map(({ text }) => text);
  const parsed = (await parseRecords(quoted, delimiter)).values();
  return records.map(({ kind, ...record }) => {
    if (kind === 'quoted') return { ...record, fields: parsed.next().value };
    return { ...record, fields: kind === 'plain' ? splitPlain(record.text, delimiter) : undefined };
  });
}

/** Fields of one record, with or without quotes; undefined when its quotes are malformed. */
export async function fieldsOf(text: string, delimiter: string): Promise<readonly string[] | undefined> {
  if (!opensQuote(text, delimiter)) return splitPlain(text, delimiter);
  if (leavesQuoteOpen(text, delimiter)) return undefined;
  return (await parseRecords([text], delimiter))[0];
}

/** True when a field of the line begins with a quote. */
const opensQuote = (text: string, delimiter: string): boolean =>
  text.split(delimiter).some((field) => field.trimStart().startsWith('"'));

/** One record that begins at `from`; undefined when it continues beyond the bytes. */
function frameRecord(
  bytes: Uint8Array,
  from: number,
  line: number,
  layout: Layout,
  isEnd: boolean,
): FramedRecord | undefined {
  const { delimiter } = layout;
  const first = lineAt(bytes, from);
  const opening = decodeBytes(bytes.subarray(from, first.stop));
  let { text } = opening;
  let isUtf8 = opening.encoding === 'utf-8';
  const one = { text, isUtf8, line, lines: 1, next: first.next };
  if (!opensQuote(text, delimiter)) return { ...one, kind: 'plain' };
  if (!leavesQuoteOpen(text, delimiter)) return { ...one, kind: 'quoted' };
  let at = first.next;
  for (let lines = 2; lines <= LONGEST_QUOTED_LINES; lines++) {
    if (at >= bytes.length)
      return isEnd || bytes.length - from > LONGEST_LINE / 2 ? { ...one, kind: 'broken' } : undefined;
    const { stop, next } = lineAt(bytes, at);
    const more = decodeBytes(bytes.subarray(at, stop));
    // This line is a complete row, so the quote was never closed.
    if (isRowOf(layout, more.text)) return { ...one, kind: 'broken' };
    text += `\n${more.text}`;
    isUtf8 &&= more.encoding === 'utf-8';
    at = next;
    if (!leavesQuoteOpen(more.text, delimiter, true))
      return { text, isUtf8, line, lines, next: at, kind: 'quoted' };
  }
  return { ...one, kind: 'broken' };
}

/** True when a line alone has as many fields as the header and numbers where they belong. */
function isRowOf(layout: Layout, text: string): boolean {
  const fields = splitPlain(text, layout.delimiter).map((field) => field.trim().replace(/^"(.*)"$/, '$1'));
  if (fields.length !== layout.columns.length) return false;
  const columns = [layout.at.lat, layout.at.lon, layout.at.depth].filter((column) => column >= 0);
  return columns.every((column) => !Number.isNaN(parseNumber(fields[column], layout.decimal)));
}

/**
 * Whether a quoted field is still open at the end of a line.
 *
 * A quote opens only at the start of a field (RFC 4180); elsewhere it is an ordinary character.
 * @param inside True when the line begins inside a quoted field.
 */
export function leavesQuoteOpen(line: string, delimiter: string, inside = false): boolean {
  let open = inside;
  let atStart = !inside;
  for (let i = 0; i < line.length; i++) {
    const c = line[i];
    if (open) {
      if (c !== '"') continue;
      if (line[i + 1] === '"') i++;
      else open = false;
    } else if (c === delimiter) atStart = true;
    else if (c === '"' && atStart) {
      open = true;
      atStart = false;
    } else if (c !== ' ' || delimiter === ' ') atStart = false;
  }
  return open;
}

/**
 * Fields of each record; undefined for a record that is not CSV.
 *
 * @param records Whole records, each with its quotes closed; none of them blank.
 */
export async function parseRecords(
  records: readonly string[],
  delimiter: string,
): Promise<(readonly string[] | undefined)[]> {
  const rows = await parseText(records.join('\n'), delimiter);
  if (rows !== undefined && rows.length === records.length) return rows;
  const single: (readonly string[] | undefined)[] = [];
  for (const record of records) {
    const fields = await parseText(record, delimiter);
    single.push(fields?.length === 1 ? fields[0] : undefined);
  }
  return single;
}

function parseText(text: string, delimiter: string): Promise<string[][] | undefined> {
  return new Promise((resolve) => {
    const rows: string[][] = [];
    parseString<string[], string[]>(text, { headers: false, delimiter, ignoreEmpty: false })
      .on('error', () => resolve(undefined))
      .on('data', (row: string[]) => rows.push(row))
      .on('end', () => resolve(rows));
  });
}
