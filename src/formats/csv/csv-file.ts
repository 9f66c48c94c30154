import { readFile, stat } from 'node:fs/promises';
import { type CsvFile, Refusal } from '../../../shared/contract/index.ts';
import { csvFile as says } from '../../../shared/text/index.ts';
import { decodeBytes, sniffBytes } from './encodings.ts';
import { leavesQuoteOpen, parseRecords } from './quoted-lines.ts';

/** Columns that a user's small CSV file must and may have. */
export interface CsvFileExpectation {
  /** What the file is, for messages: "lure box". */
  readonly what: string;
  /** Columns that must be there, lower-case. */
  readonly required: readonly string[];
}

/** Largest file accepted, bytes: far more than any lure box or year of level readings. */
const MAX_BYTES = 64 * 2 ** 20;

/**
 * A small CSV file of the user: lure box, level readings, marks.
 *
 * Fields are separated by comma, semicolon, tab or bar, whichever occurs most in the header. Encodings are UTF-8,
 * UTF-16 with a byte order mark, and windows-1252. Lines before the header that begin with # are comments. Blank lines
 * are skipped.
 *
 * @throws Refusal that names the file, the line, what was found and what to do.
 */
export async function readCsvFile(
  file: string,
  expectation: CsvFileExpectation = { what: 'file', required: [] },
): Promise<CsvFile> {
  const bytes = await readSmall(file, expectation.what);
  return parseCsvBytes(bytes, file, expectation);
}

/** Same as `readCsvFile`, from bytes already read. */
export async function parseCsvBytes(
  bytes: Uint8Array,
  file: string,
  expectation: CsvFileExpectation = { what: 'file', required: [] },
): Promise<CsvFile> {
  const { what, required } = expectation;
  const lines = decode(bytes, file, what).split(/\r\n|\n|\r/);
  let first = 0;
  while (first < lines.length && /^\s*(#.*)?$/.test(lines[first])) first++;
  let separator: string | undefined;
  const hint = /^sep=(.)$/i.exec(lines[first] ?? '');
  if (hint !== null) {
    separator = hint[1];
    first++;
  }
  if (first >= lines.length) throw new Refusal([says.csvEmpty(file, what)]);
  const delimiter = separator ?? likelyDelimiter(lines[first]);
  const records = frameRecords(lines, first, delimiter, file);
  const parsed = await parseRecords(
    records.map((record) => record.text),
    delimiter,
  );
  const fields = parsed.map((row, i) => {
    if (row === undefined) throw new Refusal([says.csvQuote(file, records[i].line)]);
    return row.map((value) => value.trim());
  });
  const header = fields[0].map((name) => name.toLowerCase());
  checkHeader(header, required, file, records[0].line, what);
  const rows: { line: number; values: Record<string, string> }[] = [];
  for (let i = 1; i < fields.length; i++) {
    if (fields[i].every((value) => value === '')) continue;
    const { line } = records[i];
    const row = trimTail(fields[i], header.length);
    if (row.length !== header.length)
      throw new Refusal([says.csvFieldCount(file, line, row.length, header.length)]);
    rows.push({ line, values: Object.fromEntries(header.map((name, c) => [name, row[c]])) });
  }
  return { file, header, rows };
}

async function readSmall(file: string, what: string): Promise<Uint8Array> {
  try {
    const { size } = await stat(file);
    if (size > MAX_BYTES) throw new Refusal([says.csvTooLarge(file, what, size, MAX_BYTES)]);
    return await readFile(file);
  } catch (cause) {
    if (cause instanceof Refusal) throw cause;
    const { code, message } = cause as NodeJS.ErrnoException;
    throw new Refusal([says.csvMissing(file, what, code ?? message)]);
  }
}

function decode(bytes: Uint8Array, file: string, what: string): string {
  if (bytes.length === 0) throw new Refusal([says.csvEmpty(file, what)]);
  const sniff = sniffBytes(bytes);
  if (sniff.foreign !== undefined) throw new Refusal([says.csvForeign(file, what, sniff.foreign)]);
  const body = bytes.subarray(sniff.bom);
  if (sniff.encoding === 'utf-8') return decodeBytes(body).text;
  try {
    return new TextDecoder(sniff.encoding, { fatal: true }).decode(body);
  } catch {
    throw new Refusal([says.csvEncoding(file, what)]);
  }
}

/** The delimiter that occurs most in the header; comma when there is none. */
function likelyDelimiter(header: string): string {
  let best = ',';
  let most = 0;
  for (const candidate of [',', ';', '\t', '|']) {
    const count = header.split(candidate).length - 1;
    if (count > most) [best, most] = [candidate, count];
  }
  return best;
}

function frameRecords(lines: readonly string[], first: number, delimiter: string, file: string) {
  const records: { line: number; text: string }[] = [];
  for (let i = first; i < lines.length; i++) {
    const line = i + 1;
    let text = lines[i];
    if (text.trim() === '') continue;
    let open = leavesQuoteOpen(text, delimiter);
    while (open) {
      if (++i >= lines.length) throw new Refusal([says.csvQuote(file, line)]);
      text += `\n${lines[i]}`;
      open = leavesQuoteOpen(lines[i], delimiter, true);
    }
    const control = /[\0-\x08\x0b\x0c\x0e-\x1f]/.exec(text);
    if (control !== null) throw new Refusal([says.csvControl(file, line, control[0].charCodeAt(0))]);
    records.push({ line, text });
  }
  return records;
}

function checkHeader(
  header: readonly string[],
  required: readonly string[],
  file: string,
  line: number,
  what: string,
) {
  const missing = required.filter((name) => !header.includes(name));
  if (missing.length > 0) throw new Refusal([says.csvHeader(file, line, what, missing, header)]);
  const twice = header.find((name, i) => name !== '' && header.indexOf(name) !== i);
  if (twice !== undefined) throw new Refusal([says.csvDuplicateColumn(file, line, twice)]);
}

/** Removes empty fields after the last column, which spreadsheets write without meaning. */
function trimTail(row: readonly string[], length: number): readonly string[] {
  return row.length > length && row.slice(length).every((value) => value === '') ? row.slice(0, length) : row;
}
