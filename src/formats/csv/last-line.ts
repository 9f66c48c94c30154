import { decodeBytes } from './encodings.ts';

/** Rows that must agree before the shape of a field is trusted for the whole log. */
const ROWS_OF_HABIT = 8;

/** Last fields of the rows in the last bytes read, from lines with the given number of fields only. */
export function lastFieldsOf(tail: Uint8Array, delimiter: string, count: number): string[] {
  // The first piece may start in the middle of a line.
  const lines = decodeBytes(tail)
    .text.split(/\r\n|\n|\r/)
    .slice(1);
  const fields: string[] = [];
  for (const line of lines) {
    const parts = delimiter === ' ' ? line.trim().split(/ +/) : line.split(delimiter);
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
export function isWholeLastField(text: string, before: readonly string[]): boolean {
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
