/** A plain number with an optional sign and exponent; no thousands separators, hex digits or words. */
const NUMBER = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?$/;

/** Maximum length of a number's text, characters. A double needs 17 digits, an exponent and signs. */
const LONGEST_NUMBER = 40;

export type DecimalMark = '.' | ',';

/**
 * Converts a number of an input file; NaN unless the text is exactly one finite number.
 *
 * The form is checked first, because JavaScript would convert empty text to 0, "0x10" to 16 and "1e999" to
 * Infinity.
 */
export function parseNumber(text: string, decimal: DecimalMark = '.'): number {
  if (text.length > LONGEST_NUMBER) return Number.NaN;
  let plain = text;
  if (decimal === ',') {
    if (text.includes('.')) return Number.NaN;
    plain = text.replace(',', '.');
  }
  if (!NUMBER.test(plain)) return Number.NaN;
  const value = Number(plain);
  return Number.isFinite(value) ? value : Number.NaN;
}

/** Counts the decimals of a number, allowing for an exponent: 1 in "59.5" and "5.95E+01", 0 in "12". */
export function decimalsOf(text: string, decimal: DecimalMark = '.'): number {
  const [mantissa, power] = text.split(/[eE]/);
  const mark = mantissa.indexOf(decimal);
  const digits = mark < 0 ? 0 : mantissa.length - mark - 1;
  return Math.max(0, digits - (power === undefined ? 0 : parseNumber(power)));
}

/**
 * True for a number with both decimal marks, with one mark more than once, or with spaces or apostrophes
 * between digit groups.
 */
function isGrouped(text: string, decimal: DecimalMark): boolean {
  const other = decimal === '.' ? ',' : '.';
  const spaced = /^[+-]?\d{1,3}(?:[ \u00a0\u2007\u202f'\u2019]\d{3})+(?:[.,]\d*)?$/.test(text);
  const bothMarks = /^[+-]?\d{1,3}(?:([.,])\d{3})+(?!\1)[.,]\d*$/.test(text);
  const repeated = /^[+-]?\d{1,3}(?:([.,])\d{3})(?:\1\d{3})+$/.test(text);
  return (
    spaced ||
    bothMarks ||
    repeated ||
    (text.includes(other) && text.includes(decimal) && /^[\d.,+-]+$/.test(text))
  );
}

/** True when a text contains digits of another script (Arabic-Indic, full-width and so on). */
const hasOtherDigits = (text: string): boolean => /\p{Nd}/u.test(text.replace(/[0-9]/g, ''));

/** Returns the code of the message about a form of number that is not accepted; undefined for other text. */
export function foreignForm(
  text: string,
  decimal: DecimalMark,
): 'spreadsheet' | 'digits' | 'grouped-number' | 'decimal-mark' | undefined {
  if (/^[-+]?\d*\.?\d*$/.test(text) && (decimal === '.' || !text.includes('.'))) return undefined;
  if (text.startsWith('=') || /^'[\d=+-]/.test(text)) return 'spreadsheet';
  if (hasOtherDigits(text)) return 'digits';
  if (isGrouped(text, decimal)) return 'grouped-number';
  const other = decimal === '.' ? ',' : '.';
  return text.includes(other) && !Number.isNaN(parseNumber(text, other)) ? 'decimal-mark' : undefined;
}

/** Dashes used as a minus sign in typeset text: U+2212, U+2013, U+2010, U+2011, U+FE63, U+FF0D. */
const OTHER_MINUS = /^[−–‐‑﹣－](?=[\d.,])/;

/** Replaces a typeset minus sign at the start of a text with a plain minus sign. */
export function plainMinus(text: string): { text: string; changed: boolean } {
  if (text.charCodeAt(0) < 128) return { text, changed: false };
  const plain = text.replace(OTHER_MINUS, '-');
  return { text: plain, changed: plain !== text };
}
