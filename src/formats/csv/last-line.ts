import { cutDropped, nulDropped, quoteDropped, truncatedDropped } from '../../../shared/text/index.ts';
import { decodeBytes } from './encodings.ts';
import { lastUsedColumn } from './layout.ts';
import { decodeLine, isPassedOver, type LineReader, readFields, readLines } from './line-reader.ts';
import { erasedRun, lastLineEndOf, splitPlain } from './lines.ts';
import { fieldsOf } from './quoted-lines.ts';
import { reserveRows } from './row-columns.ts';

/** Reads what follows the last line end, if anything. */
export function readEnd(reader: LineReader, bytes: Uint8Array): void {
  const { tally, notes, options, layout } = reader;
  const ended = lastLineEndOf(bytes);
  const at = readLines(reader, bytes.subarray(0, ended), true);
  const line = bytes.subarray(at);
  const lead = erasedRun(line, 0);
  let stop = line.length;
  while (stop > lead && (line[stop - 1] === 0 || line[stop - 1] === 0xff)) stop--;
  reader.erased += lead + line.length - stop;
  if (lead > 0) reader.isTouched = true;
  if (stop === lead) return;
  if (stop < line.length) reader.isTouched = true;
  const text = decodeLine(reader, line.subarray(lead, stop));
  if (isPassedOver(reader, text)) return;
  const here = { line: notes.line };
  reserveRows(reader.rows, 2);
  const fields = fieldsOf(text, layout.delimiter);
  if (reader.isTouched || fields === undefined) {
    tally.read++;
    tally.drop(reader.isTouched ? nulDropped(here) : quoteDropped(here));
    return;
  }
  const expected = layout.columns.length;
  const named = layout.columns.filter((column, i) => column.name !== '' || i < expected - 1).length;
  if (fields.length < named) {
    tally.read++;
    tally.drop(truncatedDropped(here, fields.length, expected));
    return;
  }
  const isCut =
    lastUsedColumn(layout) >= fields.length - 1 &&
    !isWholeLastField(fields.at(-1)!, lastFieldsOf(reader.tail, layout.delimiter, fields.length));
  if (isCut && !options.keepLast) {
    tally.read++;
    tally.drop(cutDropped(here, fields.at(-1)!));
    return;
  }
  readFields(reader, fields.length < expected ? [...fields, ''] : fields, text);
}

/** Rows that must agree before the shape of a field is trusted for the whole log. */
const ROWS_OF_HABIT = 8;

/** Last fields of the rows in the last bytes read, from lines with the given number of fields only. */
function lastFieldsOf(tail: Uint8Array, delimiter: string, count: number): string[] {
  // The first piece may start in the middle of a line.
  const lines = decodeBytes(tail)
    .text.split(/\r\n|\n|\r/)
    .slice(1);
  const fields: string[] = [];
  for (const line of lines) {
    const parts = splitPlain(line, delimiter);
    if (parts.length === count) fields.push(parts[count - 1].trim());
  }
  return fields;
}

/**
 * Whether the last field is complete in a last line without a line end. The field is complete when it has the same
 * shape as in every earlier row and that shape has a fixed end: the same number of decimals, or the same characters
 * throughout.
 *
 * A number of another shape may be cut ("1" of "12.4"), and a whole number can always be cut ("1" of "12").
 */
function isWholeLastField(text: string, before: readonly string[]): boolean {
  if (before.length < ROWS_OF_HABIT) return false;
  const shape = shapeOf(text.trim());
  return shape !== '' && before.every((field) => shapeOf(field) === shape);
}

/**
 * Shape of a value with a fixed end: ".99" for two decimals, "9999-99-99T99:99:99Z" for a time; empty when it has
 * none.
 */
function shapeOf(text: string): string {
  const decimals = /^[+-]?\d*([.,]\d+)$/.exec(text);
  if (decimals !== null) return decimals[1].replace(/\d/g, '9');
  if (/^[+-]?\d*[.,]?$/.test(text)) return '';
  return text.replace(/\d/g, '9');
}
