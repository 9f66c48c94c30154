import { parseNumber } from './number.ts';
import { type TimeZone, UTC } from './time-zone.ts';

/** Order of day, month and year in numeric dates. */
export type DateOrder = 'dmy' | 'mdy' | 'ymd';

/** How times in a log are interpreted. */
export interface TimeRules {
  readonly zone: TimeZone;
  /** Undefined: dates such as 01/02/2024 cannot be understood. */
  readonly dateOrder?: DateOrder;
  /** True when numbers are spreadsheet days since 1899-12-30. */
  readonly spreadsheetDays: boolean;
}

/** Form in which a time was written. */
export type TimeForm =
  | 'zoned'
  | 'local'
  | 'seconds'
  | 'milliseconds'
  | 'microseconds'
  | 'nanoseconds'
  | 'day-number'
  | 'time-of-day'
  | 'date';

/** A parsed time, or why it could not be parsed. */
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
 * Seconds since 1970 from a time in any form that logs use; a day, hour or minute out of range is invalid.
 *
 * Accepts ISO 8601 (extended and basic), numeric dates in a stated order, English month names, 12-hour clocks,
 * Unix times from seconds to nanoseconds (recognized by magnitude), and a time of day alone. Never uses the
 * machine's time zone.
 */
export function parseTime(text: string, rules: TimeRules): ParsedTime {
  if (text.length > 48) return INVALID;
  if (/^[+-]?\d*\.?\d*$/.test(text) && !/^\d{8}$/.test(text)) return parseCount(text, rules);
  const date = DATE.exec(text);
  if (date === null) return parseTimeOfDay(text);
  const day = parseDate(date, rules.dateOrder);
  if (typeof day !== 'number') return day;
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

/**
 * Seconds since 1970-01-01 UTC from an XML Schema dateTime, taken as UTC when it names no zone; NaN for any other
 * text.
 */
export function parseXmlTime(text: string): number {
  const plain = text.trim();
  const time = XML_TIME.test(plain) ? parseTime(plain, { zone: UTC, spreadsheetDays: false }) : INVALID;
  return 'fault' in time ? Number.NaN : time.seconds;
}

function withZone(local: number, zone: TimeZone, form: TimeForm): ParsedTime {
  const { seconds, ambiguity } = zone.offset(local);
  return { seconds: local - seconds, form, ambiguity };
}

function parseTimeOfDay(text: string): ParsedTime {
  const clock = text.includes(':') ? readClock(text) : undefined;
  return clock === undefined ? INVALID : { seconds: clock.seconds, form: 'time-of-day' };
}

/**
 * Unix time, with its unit recognized by the number of digits (9 or 10: s, 12 or 13: ms, 15 or 16: us, 18 or 19:
 * ns), or a spreadsheet day number.
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

/** Days since 1970 of a matched date. */
function parseDate(date: RegExpExecArray, order: DateOrder | undefined): number | ParsedTime {
  if (date[1] !== undefined) return dayNumber(whole(date[1]), whole(date[2]), whole(date[3]));
  if (date[4] !== undefined) return dayNumber(whole(date[4]), whole(date[5]), whole(date[6]));
  if (date[10] !== undefined) {
    return dayNumber(whole(date[12]), MONTHS.indexOf(date[11].toLowerCase()) + 1, whole(date[10]));
  }
  const [first, second, third] = [date[7], date[8], date[9]];
  if (first.length === 4)
    return third.length > 2 ? INVALID : dayNumber(whole(first), whole(second), whole(third));
  if (first.length > 2 || third.length !== 4) return INVALID;
  if (order === 'dmy') return dayNumber(whole(third), whole(second), whole(first));
  if (order === 'mdy') return dayNumber(whole(third), whole(first), whole(second));
  if (whole(first) > 31 || whole(second) > 31) return INVALID;
  return { fault: 'date-order' };
}

/**
 * First two numbers of a date whose order is unknown, to work out which can be the day; undefined for other
 * texts.
 */
export function dateNumbers(text: string): readonly [first: number, second: number] | undefined {
  const match = /^(\d{1,2})[/.-](\d{1,2})[/.-]\d{4}(?!\d)/.exec(text);
  return match === null ? undefined : [whole(match[1]), whole(match[2])];
}

/** Days since 1970-01-01 of a calendar day, or a fault when there is no such day. */
function dayNumber(year: number, month: number, day: number): number | ParsedTime {
  return isCalendarDay(year, month, day) ? daysSince1970(year, month, day) : INVALID;
}

const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** True for a day that exists in the Gregorian calendar. */
export function isCalendarDay(year: number, month: number, day: number): boolean {
  if (!(month >= 1 && month <= 12 && day >= 1)) return false;
  const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  return day <= MONTH_DAYS[month - 1] + (month === 2 && isLeap ? 1 : 0);
}

/** Days since 1970-01-01 of a day of the Gregorian calendar (years from March 1; 146,097 days in 400 years). */
export function daysSince1970(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const yearOfEra = y - era * 400;
  const dayOfYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  return (
    era * 146097 +
    yearOfEra * 365 +
    Math.floor(yearOfEra / 4) -
    Math.floor(yearOfEra / 100) +
    dayOfYear -
    719468
  );
}

/**
 * Seconds since midnight of a clock reading, and its offset from UTC, if stated, s; a leap second counts as the
 * last millisecond before it.
 */
function readClock(text: string): { seconds: number; zone?: number } | undefined {
  const match = CLOCK.exec(text);
  if (match === null) return undefined;
  let hour = whole(match[1] ?? match[5]);
  const minute = whole(match[2] ?? match[6]);
  const second = whole(match[3] ?? match[7] ?? '0');
  const fraction = match[4] ?? match[8];
  const half = match[9]?.toLowerCase();
  if (half !== undefined) {
    if (hour < 1 || hour > 12) return undefined;
    hour = (hour % 12) + (half === 'p' ? 12 : 0);
  }
  if (hour > 23 || minute > 59 || second > 60 || (second === 60 && minute !== 59)) return undefined;
  const isLeap = second === 60;
  const part = isLeap || fraction === undefined ? 0 : whole(fraction) / 10 ** fraction.length;
  const seconds = hour * 3600 + minute * 60 + (isLeap ? 59.999 : second) + part;
  if (match[10] === undefined) return { seconds };
  const zone = parseOffset(match[10]);
  return zone === undefined ? undefined : { seconds, zone };
}

function parseOffset(text: string): number | undefined {
  const match = /^([+-])(\d{2}):?(\d{2})?$/.exec(text);
  if (match === null) return 0;
  const minutes = whole(match[2]) * 60 + whole(match[3] ?? '0');
  if (minutes > 18 * 60 || whole(match[3] ?? '0') > 59) return undefined;
  return (match[1] === '-' ? -60 : 60) * minutes;
}

const whole = (digits: string): number => Number(digits);

/** A time of day: `7:15`, `07:15`, `0715`, `2:40pm`, `2.40 p.m.`, `7am`. */
const DAY_CLOCK = /^(?:(\d{1,2})(?:[:.](\d{2}))?|(\d{2})(\d{2}))\s*([ap])?\.?(?:m\.?)?$/;

/** A time of day for option patterns, which add the anchors. */
export const CLOCK_PATTERN = /\d{1,2}(?:[:.]\d{2})?\s*(?:[ap]\.?m?\.?)?|\d{4}|noon/i;

/**
 * Seconds since midnight from a time of day as people write it; undefined for any other text.
 *
 * A bare hour needs am or pm: `7` alone could be a count.
 */
export function parseClock(text: string): number | undefined {
  const word = text.trim().toLowerCase();
  if (word === 'noon') return 12 * 3600;
  const match = DAY_CLOCK.exec(word);
  if (match === null) return undefined;
  const hours = Number(match[1] ?? match[3]);
  const minutes = Number(match[2] ?? match[4] ?? 0);
  const half = match[5];
  const isBareHour = match[1] !== undefined && match[2] === undefined;
  if (minutes > 59 || (half === undefined && isBareHour)) return undefined;
  if (half === undefined) return hours > 23 || /m/.test(word) ? undefined : hours * 3600 + minutes * 60;
  if (hours < 1 || hours > 12) return undefined;
  return ((hours % 12) + (half === 'p' ? 12 : 0)) * 3600 + minutes * 60;
}

/** Time of day such as `06:30` from seconds since midnight, rounded to the minute and clamped to the day. */
export function formatClock(seconds: number): string {
  const minutes = Math.min(1439, Math.max(0, Math.round(seconds / 60)));
  return `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
}

/** Order of day and month in a date written in numbers only. */
export type DayOrder = Exclude<DateOrder, 'ymd'>;

/**
 * A day as `YYYY-MM-DD` from text in that form or such as `2026/5/18`, `5/18/2026`, `5-18-26` or `18.5.2026`;
 * undefined for any other text.
 *
 * @param order Order used when both numbers could be the month; a number above 12 can only be the day.
 * @returns `isAmbiguous` when the other order would give a different day, so the user should be told how it was
 *   read.
 */
export function parseDay(
  text: string,
  order: DayOrder = 'mdy',
): { day: string; isAmbiguous: boolean } | undefined {
  const yearFirst = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$/.exec(text.trim());
  if (yearFirst !== null)
    return asDay(Number(yearFirst[1]), Number(yearFirst[2]), Number(yearFirst[3]), false);
  const match = /^(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})$/.exec(text.trim());
  if (match === null) return undefined;
  const [first, second] = [Number(match[1]), Number(match[3])];
  const year = Number(match[4]) + (match[4].length === 2 ? 2000 : 0);
  const isMonthFirst = second > 12 || (first <= 12 && order === 'mdy' && match[2] !== '.');
  const isAmbiguous = first <= 12 && second <= 12 && first !== second && match[2] !== '.';
  return isMonthFirst ? asDay(year, first, second, isAmbiguous) : asDay(year, second, first, isAmbiguous);
}

function asDay(
  year: number,
  month: number,
  day: number,
  isAmbiguous: boolean,
): { day: string; isAmbiguous: boolean } | undefined {
  if (!isCalendarDay(year, month, day)) return undefined;
  const two = (value: number): string => String(value).padStart(2, '0');
  return { day: `${year}-${two(month)}-${two(day)}`, isAmbiguous };
}
