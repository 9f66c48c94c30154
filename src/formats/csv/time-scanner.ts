import { daysSince1970, type TimeForm } from '../../../shared/text/index.ts';
import type { Layout } from './layout.ts';
import { COLON, COMMA, LETTER_T, LETTER_Z, MINUS, PLUS, POINT, SLASH, SPACE } from './lines.ts';

/** Maximum number of digits of a whole number that a double always holds exactly. */
export const MAX_DIGITS = 15;
export const POWERS = Float64Array.from({ length: 16 }, (_, i) => 10 ** i);

/**
 * State of a scanner that reads times from the bytes of a line: dates with the year first or last, clock
 * times, Unix seconds and milliseconds.
 *
 * `scanTime`, `scanDay` and `scanClock` read from offset `at` on and move `at` to the end of the text read.
 * Each returns NaN for an unknown form.
 */
type TimeScan = ReturnType<typeof createTimeScan>;

export const createTimeScan = (layout: Layout, forms: Record<TimeForm, number>) => ({
  at: 0,
  /** True when the last clock time ended with Z. */
  isUtc: false,
  /** Form of the last time read. The byte scanner counts the form in `forms` when it stores the row. */
  form: 'local' as TimeForm,
  /** Key of the last calendar day read, from `dayKey`; -1 when there is none. */
  lastDay: -1,
  /** Start of the last calendar day, s since 1970. */
  lastDaySeconds: 0,
  delimiter: layout.delimiter.charCodeAt(0),
  /** Offset from UTC of times without a zone, s, positive east of Greenwich. */
  zone: layout.time.zone.fixed ?? 0,
  order: layout.time.dateOrder,
  forms,
});

/** Reads the time in a field, s since 1970, UTC; NaN for an unknown form. */
export function scanTime(scan: TimeScan, b: Uint8Array): number {
  const p = scan.at;
  const isDate =
    b[p + 4] === MINUS ||
    b[p + 4] === SLASH ||
    b[p + 2] === SLASH ||
    b[p + 1] === SLASH ||
    b[p + 2] === POINT;
  return isDate ? scanDateTime(scan, b) : scanUnix(scan, b);
}

function scanDateTime(scan: TimeScan, b: Uint8Array): number {
  const day = scanDay(scan, b);
  if (b[scan.at] !== LETTER_T && b[scan.at] !== SPACE) return Number.NaN;
  scan.at++;
  return inUtc(scan, day + scanClock(scan, b));
}

/** Converts a time, s since 1970, to UTC and sets `form`. A time that ended with Z is in UTC already. */
export function inUtc(scan: TimeScan, seconds: number): number {
  scan.form = scan.isUtc ? 'zoned' : 'local';
  return scan.isUtc ? seconds : seconds - scan.zone;
}

/** Reads a date, such as 2024-05-01 or 1/5/2024, and returns the start of that day, s since 1970. */
export function scanDay(scan: TimeScan, b: Uint8Array): number {
  const mark = b[scan.at + 4];
  const key = mark === MINUS || mark === SLASH ? yearFirst(scan, b, mark) : yearLast(scan, b);
  if (key < 0) return Number.NaN;
  if (key !== scan.lastDay) {
    scan.lastDay = key;
    scan.lastDaySeconds = daysSince1970(key >> 9, (key >> 5) & 15, key & 31) * 86400;
  }
  return scan.lastDaySeconds;
}

/** Combines year, month and day into one number; -1 for a negative part, a month over 12 or a day over 31. */
const dayKey = (century: number, rest: number, month: number, day: number): number =>
  century < 0 || rest < 0 || month < 0 || month > 12 || day < 0 || day > 31
    ? -1
    : ((century * 100 + rest) << 9) | (month << 5) | day;

function yearFirst(scan: TimeScan, b: Uint8Array, mark: number): number {
  const p = scan.at;
  if (b[p + 7] !== mark) return -1;
  scan.at += 10;
  return dayKey(twoDigits(b, p), twoDigits(b, p + 2), twoDigits(b, p + 5), twoDigits(b, p + 8));
}

function yearLast(scan: TimeScan, b: Uint8Array): number {
  const { order } = scan;
  if (order !== 'dmy' && order !== 'mdy') return -1;
  const first = oneOrTwo(scan, b);
  if (!isDateMark(b[scan.at++])) return -1;
  const second = oneOrTwo(scan, b);
  if (!isDateMark(b[scan.at++])) return -1;
  const p = scan.at;
  scan.at += 4;
  const [day, month] = order === 'dmy' ? [first, second] : [second, first];
  return dayKey(twoDigits(b, p), twoDigits(b, p + 2), month, day);
}

const isDateMark = (byte: number): boolean => byte === SLASH || byte === POINT || byte === MINUS;

/** Reads a clock time, s since midnight. Sets `isUtc` to whether the text ends with Z. */
export function scanClock(scan: TimeScan, b: Uint8Array): number {
  const p = scan.at;
  const hour = twoDigits(b, p);
  const minute = twoDigits(b, p + 3);
  const second = twoDigits(b, p + 6);
  if (b[p + 2] !== COLON || b[p + 5] !== COLON) return Number.NaN;
  if (hour < 0 || hour > 23 || minute < 0 || minute > 59 || second < 0 || second > 59) return Number.NaN;
  let seconds = hour * 3600 + minute * 60 + second;
  let at = p + 8;
  if (b[at] === POINT || (b[at] === COMMA && scan.delimiter !== COMMA)) {
    const point = at++;
    let part = 0;
    while (b[at] >= 48 && b[at] <= 57) part = part * 10 + (b[at++] - 48);
    const digits = at - point - 1;
    if (digits < 1 || digits > 9) return Number.NaN;
    seconds += part / POWERS[digits];
  }
  scan.isUtc = b[at] === LETTER_Z;
  // The byte scanner leaves lines with more text here, such as an offset, to the tolerant reader.
  scan.at = scan.isUtc ? at + 1 : at;
  return seconds;
}

/** Reads Unix seconds (10 digits) or milliseconds (13 digits) and returns seconds. */
function scanUnix(scan: TimeScan, b: Uint8Array): number {
  let p = scan.at;
  const isNegative = b[p] === MINUS;
  if (isNegative || b[p] === PLUS) p++;
  const start = p;
  let value = 0;
  while (b[p] >= 48 && b[p] <= 57) value = value * 10 + (b[p++] - 48);
  const whole = p - start;
  let decimals = 0;
  if (b[p] === POINT) {
    const point = p++;
    while (b[p] >= 48 && b[p] <= 57) value = value * 10 + (b[p++] - 48);
    decimals = p - point - 1;
  }
  scan.at = p;
  if ((whole !== 10 && whole !== 13) || whole + decimals > MAX_DIGITS) return Number.NaN;
  value = (isNegative ? -value : value) / POWERS[decimals];
  scan.form = whole === 10 ? 'seconds' : 'milliseconds';
  return whole === 10 ? value : value / 1e3;
}

function twoDigits(b: Uint8Array, at: number): number {
  const tens = b[at] - 48;
  const ones = b[at + 1] - 48;
  return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : -1;
}

function oneOrTwo(scan: TimeScan, b: Uint8Array): number {
  const first = b[scan.at] - 48;
  if (!(first >= 0 && first <= 9)) return -1;
  const second = b[++scan.at] - 48;
  if (!(second >= 0 && second <= 9)) return first;
  scan.at++;
  return first * 10 + second;
}
