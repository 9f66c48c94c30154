import { parseNumber, quoteDropped } from '../../../shared/text/index.ts';
import { erasedRun, lineAt } from './byte-lines.ts';
import type { Layout } from './layout.ts';
import { decodeLine, isPassedOver, type LineReader, readFields, splitPlain } from './line-rows.ts';
import { leavesQuoteOpen, parseRecords } from './quoted-records.ts';

/** Longest line accepted, bytes; lines of logs have about a hundred. */
export const LONGEST_LINE = 1024 * 1024;
/** Most lines that a quoted field may span before its opening quote counts as damage. */
const LONGEST_QUOTED_LINES = 200;
/** Most quoted records parsed together. */
const BATCH = 2000;
const QUOTE = 34;

/** Fields of one record, with or without quotes; undefined when its quotes are malformed. */
export async function fieldsOf(reader: LineReader, text: string): Promise<readonly string[] | undefined> {
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
  /** How the fields are split: by fast-csv, at delimiters (stray quotes only), or not at all. */
  readonly kind: 'quoted' | 'plain' | 'broken';
}

/**
 * Reads all consecutive quoted records that begin at `from`; fast-csv parses them together.
 *
 * @returns Offset after them; `from` when the first record continues beyond the bytes.
 */
export async function readQuoted(
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

/** One record that begins at `from`; undefined when it continues beyond the bytes. */
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
    // This line is a complete row, so the quote was never closed.
    if (isRowOf(reader.layout, more)) return { ...one, kind: 'broken' };
    text += `\n${more}`;
    at = next;
    if (!leavesQuoteOpen(more, delimiter, true)) return { text, line, lines, next: at, kind: 'quoted' };
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
