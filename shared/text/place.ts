import { type DecimalMark, parseNumber } from './number.ts';

export type Axis = 'lat' | 'lon';

/** How plain numbers in a position column are interpreted. */
export interface PositionRules {
  readonly decimal: DecimalMark;
  /** True for ddmm.mmm and dddmm.mmm: degrees and minutes run together. */
  readonly packed: boolean;
  /** True when the user stated the form, so that no number is ambiguous. */
  readonly explicit: boolean;
  /** Divisor that converts numbers in the file to degrees. */
  readonly scale: number;
}

/** Degrees, or what is wrong with the text. */
export type ParsedPosition =
  | number
  | 'not-a-number'
  | 'minutes'
  | 'hemisphere-sign'
  | 'hemisphere-axis'
  | 'packed-ambiguous'
  | 'looks-packed';

const PARTS =
  /^([NSEW])?\s*([+-])?(\d{1,3}(?:\.\d*)?)\s*(?:°|d|\s)\s*(?:(\d{1,2}(?:\.\d*)?)(?:\s*'\s*|\s+|(?=[NSEW]|$))(?:(\d{1,2}(?:\.\d*)?)\s*"?)?)?\s*([NSEW])?$/i;
const PLAIN = /^([NSEW])?\s*([+-]?[\d.]+(?:[eE][+-]?\d{1,3})?)\s*°?\s*([NSEW])?$/i;

/**
 * Reads a latitude or longitude in decimal degrees, degrees and minutes, or degrees, minutes and seconds. The
 * range is not checked here.
 *
 * @param hemisphere Letter from a separate column, if any. The letter gives the sign; a minus sign beside it
 *   is a fault.
 */
export function parsePosition(
  text: string,
  axis: Axis,
  rules: PositionRules,
  hemisphere?: string,
): ParsedPosition {
  const plainText = rules.decimal === ',' ? text.replace(/(\d),(\d)/g, '$1.$2') : text;
  const plain = PLAIN.exec(plainText);
  const parts = plain ?? PARTS.exec(uniformMarks(plainText));
  if (parts === null) return 'not-a-number';
  const letter = oneLetter(parts[1], parts.at(-1), hemisphere);
  if (letter === 'two') return 'not-a-number';
  if (plain !== null) return fromPlain(plain[2], axis, rules, letter);
  if (parts[2] === '-' && letter !== undefined) return 'hemisphere-sign';
  if (letter !== undefined && !isOfAxis(letter, axis)) return 'hemisphere-axis';
  const degrees = parseNumber(parts[3]);
  const minutes = parts[4] === undefined ? 0 : parseNumber(parts[4]);
  const seconds = parts[5] === undefined ? 0 : parseNumber(parts[5]);
  const hasFraction = (part: string) => part.includes('.');
  if (
    (parts[4] !== undefined && hasFraction(parts[3])) ||
    (parts[5] !== undefined && hasFraction(parts[4]))
  ) {
    return 'not-a-number';
  }
  if (minutes >= 60 || seconds >= 60) return 'minutes';
  const value = degrees + minutes / 60 + seconds / 3600;
  return isNegative(letter, parts[2]) ? -value : value;
}

function fromPlain(
  text: string,
  axis: Axis,
  rules: PositionRules,
  letter: string | undefined,
): ParsedPosition {
  const value = parseNumber(text);
  if (Number.isNaN(value)) return 'not-a-number';
  if (letter !== undefined) {
    if (value < 0 || text.startsWith('-')) return 'hemisphere-sign';
    if (!isOfAxis(letter, axis)) return 'hemisphere-axis';
  }
  const limit = axis === 'lat' ? 90 : 180;
  const whole = text.replace(/^[+-]/, '').split(/[.eE]/)[0];
  let degrees = value / rules.scale;
  if (rules.packed) {
    const unpacked = unpack(value);
    if (unpacked === undefined) return 'minutes';
    degrees = unpacked;
  } else if (rules.scale === 1 && whole.length >= 4) {
    // Four or more digits before the decimal mark may be degrees and minutes run together.
    const isFullWidth = whole.length === (axis === 'lat' ? 4 : 5);
    if (letter !== undefined && isFullWidth) {
      const unpacked = unpack(value);
      if (unpacked === undefined) return 'minutes';
      degrees = unpacked;
    } else if (value > limit && value < 18100 && whole.length <= 5) return 'looks-packed';
    else if (value <= limit && whole.startsWith('0') && !rules.explicit) return 'packed-ambiguous';
  }
  return isNegative(letter, undefined) ? -degrees : degrees;
}

/** Converts dddmm.mmm to degrees; undefined when the minutes are 60 or more. */
function unpack(value: number): number | undefined {
  const size = Math.abs(value);
  const degrees = Math.floor(size / 100);
  const minutes = size - degrees * 100;
  if (minutes >= 60) return undefined;
  return Math.sign(value) * (degrees + minutes / 60);
}

function oneLetter(...letters: (string | undefined)[]): string | undefined | 'two' {
  const given = new Set(
    letters.filter((letter) => letter !== undefined && letter !== '').map((l) => l!.toUpperCase()),
  );
  return given.size > 1 ? 'two' : [...given][0];
}

const isOfAxis = (letter: string, axis: Axis): boolean => (axis === 'lat' ? 'NS' : 'EW').includes(letter);

const isNegative = (letter: string | undefined, sign: string | undefined): boolean =>
  letter === undefined ? sign === '-' : letter === 'S' || letter === 'W';

/** Replaces look-alike characters with one mark each for degrees, minutes and seconds. */
const uniformMarks = (text: string): string =>
  text
    .replace(/[°º˚]/g, '°')
    .replace(/[′’‘´`ʹ]/g, "'")
    .replace(/''|[″”“]/g, '"');

const TYPED: PositionRules = { decimal: '.', packed: false, explicit: true, scale: 1 };
/**
 * Ways to split a typed place into latitude and longitude: at a comma or semicolon, or at the space between
 * two values that both end with, or both begin with, a hemisphere letter.
 */
const PLACES = [/^(.+?)\s*[,;]\s*(.+)$/, /^(.*[NS])\s+(.*[EW])$/i, /^([NS].*)\s+([EW].*)$/i];

/** Reads a place, deg, from `LAT,LON` in any form of `parsePosition`; undefined for any other text. */
export function parsePlace(text: string): { lat: number; lon: number } | undefined {
  const match = PLACES.map((pattern) => pattern.exec(text.trim())).find((found) => found !== null);
  if (match === undefined || match === null) return undefined;
  const lat = parsePosition(match[1], 'lat', TYPED);
  const lon = parsePosition(match[2], 'lon', TYPED);
  if (typeof lat !== 'number' || typeof lon !== 'number') return undefined;
  return Math.abs(lat) <= 90 && Math.abs(lon) <= 180 ? { lat, lon } : undefined;
}
