import { parseNumber } from './number.ts';
import { type TimeZone, UTC } from './time-zone.ts';

export type DateOrder = 'dmy' | 'mdy' | 'ymd';

/** How times in a log are interpreted. */
export interface TimeRules {
  readonly zone: TimeZone;
  /** Without an order, dates such as 01/02/2024 cannot be understood. */
  readonly dateOrder?: DateOrder;
  /** True when numbers are spreadsheet days since 1899-12-30. */
  readonly spreadsheetDays: boolean;
}

export const TIME_FORMS = [
  'zoned',
  'local',
  'seconds',
  'milliseconds',
  'microseconds',
  'nanoseconds',
  'time-of-day',
  'date',
] as const;
export type TimeForm = (typeof TIME_FORMS)[number];

export type ParsedTime =
  | {
      /** Seconds since 1970-01-01 UTC; for a time of day, since midnight. */
      readonly seconds: number;
      readonly form: TimeForm;
      readonly ambiguity?: 'fold' | 'gap';
    }
  | { readonly fault: 'invalid' | 'date-order' | 'day-number' };

const INVALID = { fault: 'invalid' } as const;

const DATE =
  /^(?:(\d{4})-(\d{1,2})-(\d{1,2})|(\d{4})(\d{2})(\d{2})|(\d{1,4})[/.-](\d{1,2})[/.-](\d{1,4})|(\d{1,2})[ -]([A-Za-z]{3})[a-z]*[ -](\d{4}))/;
const CLOCK =
  /^(?:(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?|(\d{2})(\d{2})(?:(\d{2})(?:[.,](\d{1,9}))?)?)(?:\s*([AaPp])\.?[Mm]\.?)?\s*(Z|z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?$/;
const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];

/**
 * Reads a time in the forms that logs use. A time with any part out of range is invalid.
 *
 * Accepts ISO 8601 (extended and basic), numeric dates in a stated order, English month names, 12-hour
 * clocks, Unix times from seconds to nanoseconds (recognized by the number of digits), spreadsheet days if
 * `rules` say so, and a time of day alone. Never uses the machine's time zone.
 */
export function parseTime(text: string, rules: TimeRules): ParsedTime {
  if (text.length > 48) return INVALID;
  if (/^[+-]?\d*\.?\d*$/.test(text) && !/^\d{8}$/.test(text)) return parseCount(text, rules);
  const date = DATE.exec(text);
  if (date === null) {
    const clock = text.includes(':') ? readClock(text) : undefined;
    return clock === undefined ? INVALID : { seconds: clock.seconds, form: 'time-of-day' };
  }
  const day = parseDate(date, rules.dateOrder);
  if (day === undefined) return { fault: 'date-order' };
  if (Number.isNaN(day)) return INVALID;
  const rest = text.slice(date[0].length);
  if (rest.trim() === '') return withZone(day * 86400 + 43200, rules.zone, 'date');
  const clockText = /^(?:[Tt]|,?\s+)(.*)$/.exec(rest);
  const clock = clockText === null ? undefined : readClock(clockText[1]);
  if (clock === undefined) return INVALID;
  const seconds = day * 86400 + clock.seconds;
  if (clock.zone === undefined) return withZone(seconds, rules.zone, 'local');
  return { seconds: seconds - clock.zone, form: 'zoned' };
}

const XML_TIME = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d{1,9})?(?:Z|[+-]\d\d:\d\d)?$/;

/** Reads an XML Schema dateTime, UTC unless it names a zone, as s since 1970 UTC; NaN for other text. */
export function parseXmlTime(text: string): number {
  const plain = text.trim();
  const time = XML_TIME.test(plain) ? parseTime(plain, { zone: UTC, spreadsheetDays: false }) : INVALID;
  return 'fault' in time ? Number.NaN : time.seconds;
}

function withZone(local: number, zone: TimeZone, form: TimeForm): ParsedTime {
  const { seconds, ambiguity } = zone.offset(local);
  return { seconds: local - seconds, form, ambiguity };
}

/**
 * Reads a Unix time or a spreadsheet day number. The number of digits before the point gives the unit of a
 * Unix time: 9 or 10 for s, 12 or 13 for ms, 15 or 16 for us, 18 or 19 for ns.
 */
function parseCount(text: string, rules: TimeRules): ParsedTime {
  const value = parseNumber(text);
  if (Number.isNaN(value) || value < 0) return INVALID;
  const digits = text.replace(/^\+/, '').split('.')[0].length;
  if (rules.spreadsheetDays && value < 2_958_466)
    return withZone((value - 25569) * 86400, rules.zone, 'local');
  if (digits === 9 || digits === 10) return { seconds: value, form: 'seconds' };
  if (digits === 12 || digits === 13) return { seconds: value / 1e3, form: 'milliseconds' };
  if (digits === 15 || digits === 16) return { seconds: value / 1e6, form: 'microseconds' };
  if (digits === 18 || digits === 19) return { seconds: value / 1e9, form: 'nanoseconds' };
  return digits === 5 && value >= 20000 && value < 80000 ? { fault: 'day-number' } : INVALID;
}

/** Returns the days since 1970 of a date: NaN if it is impossible, undefined if its order is unknown. */
function parseDate(date: RegExpExecArray, order: DateOrder | undefined): number | undefined {
  if (date[10] !== undefined)
    return daysSince1970(Number(date[12]), MONTHS.indexOf(date[11].toLowerCase()) + 1, Number(date[10]));
  const [, y, m, d] = date[1] === undefined ? date.slice(3) : date;
  if (y !== undefined) return daysSince1970(Number(y), Number(m), Number(d));
  const [first, second, third] = [date[7], date[8], date[9]];
  if (first.length === 4)
    return third.length > 2 ? Number.NaN : daysSince1970(Number(first), Number(second), Number(third));
  if (first.length > 2 || third.length !== 4) return Number.NaN;
  if (order === 'dmy') return daysSince1970(Number(third), Number(second), Number(first));
  if (order === 'mdy') return daysSince1970(Number(third), Number(first), Number(second));
  return Number(first) > 31 || Number(second) > 31 ? Number.NaN : undefined;
}

/** Returns the first two numbers of a date whose order is unknown; undefined for any other text. */
export function dateNumbers(text: string): readonly [first: number, second: number] | undefined {
  const match = /^(\d{1,2})[/.-](\d{1,2})[/.-]\d{4}(?!\d)/.exec(text);
  return match === null ? undefined : [Number(match[1]), Number(match[2])];
}

/** Returns the days since 1970-01-01 of a day of the Gregorian calendar; NaN when there is no such day. */
export function daysSince1970(year: number, month: number, day: number): number {
  // `Date.UTC` would add 1900 to years under 100.
  const date = new Date(0);
  date.setUTCFullYear(year, month - 1, day);
  const exists = date.getUTCMonth() === month - 1 && date.getUTCDate() === day;
  return exists ? date.getTime() / 86_400_000 : Number.NaN;
}

/**
 * Reads the time of day, s since midnight, and its offset from UTC, s, if stated. A leap second counts as the
 * last millisecond before it.
 */
function readClock(text: string): { seconds: number; zone?: number } | undefined {
  const match = CLOCK.exec(text);
  if (match === null) return undefined;
  const [hours, minute, whole = '0', fraction = ''] =
    match[1] === undefined ? match.slice(5) : match.slice(1, 5);
  const hour = fullHour(Number(hours), match[9]);
  const second = Number(whole);
  if (!(hour <= 23) || Number(minute) > 59 || second > 60 || (second === 60 && Number(minute) !== 59))
    return undefined;
  const [full, part] = second === 60 ? [59.999, 0] : [second, Number(`0.${fraction}`)];
  const seconds = hour * 3600 + Number(minute) * 60 + full + part;
  if (match[10] === undefined) return { seconds };
  const zone = parseOffset(match[10]);
  return zone === undefined ? undefined : { seconds, zone };
}

/** Converts an hour of a 12-hour clock to [0, 23]; NaN outside 1 to 12. Without `half`, returns `hour`. */
function fullHour(hour: number, half: string | undefined): number {
  if (half === undefined) return hour;
  return hour < 1 || hour > 12 ? Number.NaN : (hour % 12) + (half.toLowerCase() === 'p' ? 12 : 0);
}

function parseOffset(text: string): number | undefined {
  const match = /^([+-])(\d{2}):?(\d{2})?$/.exec(text);
  if (match === null) return 0;
  const rest = Number(match[3] ?? '0');
  const minutes = Number(match[2]) * 60 + rest;
  return minutes > 18 * 60 || rest > 59 ? undefined : (match[1] === '-' ? -60 : 60) * minutes;
}

/** A time of day: `7:15`, `07:15`, `0715`, `2:40pm`, `2.40 p.m.`, `7am`. */
const DAY_CLOCK = /^(?:(\d{1,2})(?:[:.](\d{2}))?|(\d{2})(\d{2}))\s*([ap])?\.?(?:m\.?)?$/;

/** A time of day, without anchors, for patterns of options. */
export const CLOCK_PATTERN = /\d{1,2}(?:[:.]\d{2})?\s*(?:[ap]\.?m?\.?)?|\d{4}|noon/i;

/**
 * Reads a time of day as people write it, in seconds since midnight; undefined for any other text.
 *
 * A bare hour needs am or pm, because `7` alone could be a count.
 */
export function parseClock(text: string): number | undefined {
  const word = text.trim().toLowerCase();
  if (word === 'noon') return 12 * 3600;
  const match = DAY_CLOCK.exec(word);
  if (match === null) return undefined;
  const half = match[5];
  const hours = fullHour(Number(match[1] ?? match[3]), half);
  const minutes = Number(match[2] ?? match[4] ?? 0);
  const isBareHour = match[1] !== undefined && match[2] === undefined;
  if (!(hours <= 23) || minutes > 59 || (half === undefined && (isBareHour || /m/.test(word))))
    return undefined;
  return hours * 3600 + minutes * 60;
}

/** Formats seconds since midnight as `06:30`, rounded to the minute and clamped to 00:00 to 23:59. */
export function formatClock(seconds: number): string {
  const minutes = Math.min(1439, Math.max(0, Math.round(seconds / 60)));
  return `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
}

export type DayOrder = Exclude<DateOrder, 'ymd'>;

/**
 * Reads a day such as `2026-05-18`, `2026/5/18`, `5/18/2026`, `5-18-26` or `18.5.2026` as `YYYY-MM-DD`;
 * undefined for any other text.
 *
 * @param order Order used when both numbers could be the month; a number above 12 can only be the day. With
 *   points between the numbers, the day comes first.
 * @returns `isAmbiguous`: true when the other order would give a different day, so that the user must be told
 *   how the day was read.
 */
export function parseDay(
  text: string,
  order: DayOrder = 'mdy',
): { day: string; isAmbiguous: boolean } | undefined {
  const asDay = (year: number, month: number, day: number, isAmbiguous = false) => {
    const days = daysSince1970(year, month, day);
    if (Number.isNaN(days)) return undefined;
    return { day: new Date(days * 86_400_000).toISOString().slice(0, 10), isAmbiguous };
  };
  const yearFirst = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$/.exec(text.trim());
  if (yearFirst !== null) return asDay(Number(yearFirst[1]), Number(yearFirst[2]), Number(yearFirst[3]));
  const match = /^(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})$/.exec(text.trim());
  if (match === null) return undefined;
  const [first, second] = [Number(match[1]), Number(match[3])];
  const year = Number(match[4]) + (match[4].length === 2 ? 2000 : 0);
  const isMonthFirst = second > 12 || (first <= 12 && order === 'mdy' && match[2] !== '.');
  const isAmbiguous = first <= 12 && second <= 12 && first !== second && match[2] !== '.';
  return isMonthFirst ? asDay(year, first, second, isAmbiguous) : asDay(year, second, first, isAmbiguous);
}
