import { METERS_PER } from '../../../shared/geo/units.ts';
import { parseNumber } from '../csv/numbers.ts';

const UNIT_NAMES: Readonly<Record<string, keyof typeof METERS_PER>> = {
  m: 'm',
  meter: 'm',
  meters: 'm',
  metre: 'm',
  metres: 'm',
  ft: 'ft',
  foot: 'ft',
  feet: 'ft',
  fm: 'fm',
  fathom: 'fm',
  fathoms: 'fm',
  cm: 'cm',
  yd: 'yd',
};

/**
 * A depth of an extension element in meters, positive down; NaN when it is no number in a known unit.
 *
 * @param text `4.2`, `4.2 m`, `14 ft`. @param unit The element's unit attribute; meters without one.
 */
export function parseDepth(text: string, unit: string | undefined): number {
  const match = /^\s*([+-]?[\d.]+(?:[eE][+-]?\d{1,3})?)\s*([a-z]*)\.?\s*$/i.exec(text);
  if (match === null) return Number.NaN;
  const name = UNIT_NAMES[(match[2] || unit || 'm').trim().toLowerCase()];
  return name === undefined ? Number.NaN : parseNumber(match[1]) * METERS_PER[name];
}

/** Whether a depth says its unit, in its text or in the attribute. */
export const saysUnit = (text: string, unit: string | undefined): boolean =>
  (unit ?? '').trim() !== '' || /[a-z]\.?\s*$/i.test(text);

const TIME = /^\s*(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)(\.\d+)?(Z|[+-]\d\d:\d\d)?\s*$/;
const DAYS = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/**
 * Seconds since 1970-01-01 UTC of an XML Schema dateTime; NaN when it is none.
 *
 * Without a zone it is UTC, as GPX says. A leap second is the first second of the next minute.
 */
export function parseTime(text: string): number {
  if (text.length === 20 && text.charCodeAt(19) === UPPER_Z) return parsePlainTime(text);
  const match = TIME.exec(text);
  if (match === null) return Number.NaN;
  const [year, month, day, hour, minute, second] = match.slice(1, 7).map(Number);
  const zone = match[8];
  const shift =
    zone === undefined || zone === 'Z'
      ? 0
      : (zone.startsWith('-') ? -60 : 60) * (Number(zone.slice(1, 3)) * 60 + Number(zone.slice(4, 6)));
  return secondsOf(year, month, day, hour, minute, second) + Number(match[7] ?? 0) - shift;
}

const UPPER_Z = 0x5a;

/** `YYYY-MM-DDTHH:MM:SSZ`, the form of nearly every track point, without a pattern: three times as fast. */
function parsePlainTime(text: string): number {
  const isSpelled =
    text[4] === '-' && text[7] === '-' && text[10] === 'T' && text[13] === ':' && text[16] === ':';
  if (!isSpelled) return Number.NaN;
  const pair = (at: number): number => digit(text, at) * 10 + digit(text, at + 1);
  return secondsOf(pair(0) * 100 + pair(2), pair(5), pair(8), pair(11), pair(14), pair(17));
}

const digit = (text: string, at: number): number => {
  const value = text.charCodeAt(at) - 0x30;
  return value >= 0 && value <= 9 ? value : Number.NaN;
};

/** NaN when there is no such day or time of day, or when a part is NaN. */
function secondsOf(
  year: number,
  month: number,
  day: number,
  hour: number,
  minute: number,
  second: number,
): number {
  if (!(month >= 1 && month <= 12 && day >= 1 && day <= DAYS[month - 1])) return Number.NaN;
  if (month === 2 && day === 29 && (year % 4 !== 0 || (year % 100 === 0 && year % 400 !== 0)))
    return Number.NaN;
  if (!(hour <= 23 && minute <= 59 && second <= 60)) return Number.NaN;
  return Date.UTC(year, month - 1, day, hour, minute, second) / 1000;
}
