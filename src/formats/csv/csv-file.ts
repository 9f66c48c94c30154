import { readFile, stat } from 'node:fs/promises';
import { type CsvFile, Refusal } from '../../../shared/contract/index.ts';
import { csvFileMessages as says } from '../../../shared/text/index.ts';
import { decodeBytes, sniffBytes } from './encodings.ts';
import { splitQuoted, widestDelimiter } from './lines.ts';
import { LONGEST_QUOTED_LINES } from './quoted-lines.ts';
import { controlByte } from './tolerant-row.ts';

export interface CsvFileExpectation {
  /** Kind of file, for messages: "file of --lures". */
  readonly what: string;
  /** Names of required columns, lowercase. */
  readonly required?: readonly string[];
}

const ANY_CSV: CsvFileExpectation = { what: 'file' };

/** Maximum size of a file on disk, bytes; chosen far above any lure box or year of level readings. */
const MAX_BYTES = 64 * 2 ** 20;

/**
 * Reads a small CSV file, such as a lure box or level readings.
 *
 * Fields are separated by comma, semicolon, tab or `|`, whichever occurs most in the header, or by the
 * character that a line `sep=` names. Encodings are UTF-8, UTF-16 and windows-1252. Lines before the header
 * that begin with # are comments. Blank lines are skipped.
 *
 * @throws Refusal that names the file, the line, what was found and what to do.
 */
export async function readCsvFile(file: string, expectation = ANY_CSV): Promise<CsvFile> {
  return parseCsvBytes(await readSmall(file, expectation.what), file, expectation);
}

/** Reads a small CSV file from its bytes; see `readCsvFile`. */
export async function parseCsvBytes(
  bytes: Uint8Array,
  file: string,
  { what, required = [] } = ANY_CSV,
): Promise<CsvFile> {
  const lines = decode(bytes, file, what).split(/\r\n|\n|\r/);
  let first = 0;
  while (first < lines.length && /^\s*(#.*)?$/.test(lines[first])) first++;
  const hint = /^sep=(.)$/i.exec(lines[first] ?? '');
  if (hint !== null) first++;
  if (first >= lines.length) throw new Refusal([says.empty({ file }, what)]);
  const [head, ...records] = readRecords(
    lines,
    first,
    hint?.[1] ?? widestDelimiter(lines[first], [',', ';', '\t', '|']),
    file,
  );
  const header = head.fields.map((name) => name.toLowerCase());
  checkHeader(header, required, file, head.line, what);
  const rows = records
    .filter(({ fields }) => fields.some((value) => value !== ''))
    .map(({ line, fields }) => {
      // Spreadsheets may add empty fields after the last column. These fields mean nothing.
      const isLong = fields.slice(header.length).some((value) => value !== '');
      if (isLong || fields.length < header.length)
        throw new Refusal([says.fields({ file, line }, fields.length, header.length)]);
      return { line, values: Object.fromEntries(header.map((name, c) => [name, fields[c]])) };
    });
  return { file, header, rows };
}

async function readSmall(file: string, what: string): Promise<Uint8Array> {
  try {
    const { size } = await stat(file);
    if (size > MAX_BYTES) throw new Refusal([says['too-large']({ file }, what, size, MAX_BYTES)]);
    return await readFile(file);
  } catch (cause) {
    if (cause instanceof Refusal) throw cause;
    const { code, message } = cause as NodeJS.ErrnoException;
    throw new Refusal([says.unreadable({ file }, what, code ?? message)]);
  }
}

function decode(bytes: Uint8Array, file: string, what: string): string {
  if (bytes.length === 0) throw new Refusal([says.empty({ file }, what)]);
  const sniff = sniffBytes(bytes);
  if (sniff.foreign !== undefined) throw new Refusal([says.foreign({ file }, what, sniff.foreign)]);
  const body = bytes.subarray(sniff.bom);
  if (sniff.encoding === 'utf-8') return decodeBytes(body).text;
  try {
    return new TextDecoder(sniff.encoding, { fatal: true }).decode(body);
  } catch {
    throw new Refusal([says.encoding({ file }, what)]);
  }
}

function readRecords(lines: readonly string[], first: number, delimiter: string, file: string) {
  const records: { line: number; fields: string[] }[] = [];
  for (let i = first; i < lines.length; i++) {
    const line = i + 1;
    let text = lines[i];
    if (text.trim() === '') continue;
    const end = Math.min(lines.length - 1, i + LONGEST_QUOTED_LINES);
    while (i < end && splitQuoted(text, delimiter).fault === 'open') text += `\n${lines[++i]}`;
    const { fields, fault } = splitQuoted(text, delimiter);
    if (fault !== undefined) throw new Refusal([says.quote({ file, line })]);
    const control = controlByte(text);
    if (control !== undefined) throw new Refusal([says.control({ file, line }, control)]);
    records.push({ line, fields: fields.map((value) => value.trim()) });
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
  if (missing.length > 0) throw new Refusal([says.header({ file, line }, what, missing, header)]);
  const twice = header.find((name, i) => name !== '' && header.indexOf(name) !== i);
  if (twice !== undefined) throw new Refusal([says['duplicate-column']({ file, line }, twice)]);
}
