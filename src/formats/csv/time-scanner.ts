import { parseTime, type TimeForm, UTC } from '../../../shared/text/index.ts';
import type { Layout } from './layout.ts';
import { COLON, COMMA, POINT, QUOTE, SPACE } from './lines.ts';

/** Digits that a double holds exactly. */
export const MAX_DIGITS = 15;
export const POWERS = Float64Array.from({ length: 16 }, (_, i) => 10 ** i);

/**
 * State of a scanner that reads times from the bytes of a line. A text like the one before, apart from minutes and
 * seconds, needs no parsing, in whatever form it is.
 *
 * `scanTime` and `scanDay` begin at `at` and move it past what they read.
 */
type TimeScan = ReturnType<typeof createTimeScan>;

const NONE = new Uint8Array(0);

export const createTimeScan = ({ delimiter, time, at }: Layout) => ({
  at: 0,
  delimiter: delimiter.charCodeAt(0),
  rules: time,
  /** Put before clock times whose day is in another column. */
  before: at.date < 0 ? '' : '1970-01-01 ',
  /** The last clock time: its text up to the minutes and after the seconds, the start of its day, and its hour, s. */
  head: NONE,
  tail: NONE,
  midnight: 0,
  hour: 0,
  form: 'local' as TimeForm,
  /** The last day and its start, s since 1970 as if in UTC. */
  day: NONE,
  daySeconds: 0,
});

/**
 * Seconds since 1970, UTC, of a date and clock time or of Unix seconds or milliseconds; for a clock time alone, those on
 * the first day. Not finite for a text of any other form.
 */
export function scanTime(scan: TimeScan, b: Uint8Array): number {
  if (scan.head.length === 0 || !isAt(b, scan.at, scan.head)) {
    const unix = scan.before === '' ? scanUnix(scan, b) : Number.NaN;
    if (!Number.isNaN(unix)) return unix;
    rememberClock(scan, fieldAt(scan, b));
    if (scan.head.length === 0) return Number.NaN;
  }
  let p = scan.at + scan.head.length;
  const minute = twoDigits(b, p);
  const second = twoDigits(b, p + 3);
  if (b[p + 2] !== COLON || minute < 0 || minute > 59 || second < 0 || second > 59) return Number.NaN;
  let seconds = scan.hour + minute * 60 + second;
  p += 5;
  if (b[p] === POINT || (b[p] === COMMA && scan.delimiter !== COMMA)) {
    const point = ++p;
    let part = 0;
    while (b[p] >= 48 && b[p] <= 57) part = part * 10 + (b[p++] - 48);
    const digits = p - point;
    if (digits < 1 || digits > 9) return Number.NaN;
    seconds += part / POWERS[digits];
  }
  if (!isAt(b, p, scan.tail)) return Number.NaN;
  scan.at = p + scan.tail.length;
  return scan.midnight + seconds;
}

/** Seconds since 1970, as if in UTC, at the start of a day; NaN for a text that is no day. */
export function scanDay(scan: TimeScan, b: Uint8Array): number {
  if (scan.day.length === 0 || !isAt(b, scan.at, scan.day) || isDigit(b[scan.at + scan.day.length])) {
    const text = fieldAt(scan, b);
    const time = parseTime(`${text} 00:00:00`, { ...scan.rules, zone: UTC });
    scan.day = bytesOf(text);
    scan.daySeconds = 'form' in time && time.form === 'local' ? time.seconds : Number.NaN;
  }
  scan.at += scan.day.length;
  return scan.daySeconds;
}

function rememberClock(scan: TimeScan, text: string): void {
  const parts = /^([^:]*:)\d\d:\d\d(?:[.,]\d+)?([^\d.,:].*|)$/.exec(text);
  const [head, tail] = parts === null ? ['', ''] : parts.slice(1);
  const time = parseTime(`${scan.before}${head}00:00${tail}`, scan.rules);
  const isDated = 'form' in time && (time.form === 'local' || time.form === 'zoned');
  scan.head = bytesOf(head);
  scan.tail = bytesOf(tail);
  scan.midnight = isDated ? Math.floor(time.seconds / 86_400) * 86_400 : Number.POSITIVE_INFINITY;
  scan.hour = isDated ? time.seconds - scan.midnight : 0;
  if (isDated) scan.form = time.form;
}

/** Unix seconds (10 digits) or milliseconds (13 digits). */
function scanUnix(scan: TimeScan, b: Uint8Array): number {
  let p = scan.at;
  let value = 0;
  while (isDigit(b[p])) value = value * 10 + (b[p++] - 48);
  const whole = p - scan.at;
  if (whole !== 10 && whole !== 13) return Number.NaN;
  const point = b[p] === POINT ? ++p : p;
  while (isDigit(b[p])) value = value * 10 + (b[p++] - 48);
  const decimals = p - point;
  if (whole + decimals > MAX_DIGITS) return Number.NaN;
  scan.at = p;
  scan.form = whole === 10 ? 'seconds' : 'milliseconds';
  return value / POWERS[decimals] / (whole === 10 ? 1 : 1e3);
}

const isDigit = (byte: number): boolean => byte >= 48 && byte <= 57;

/** Two digits at an offset; -1 for anything else. */
const twoDigits = (b: Uint8Array, at: number): number =>
  isDigit(b[at]) && isDigit(b[at + 1]) ? b[at] * 10 + b[at + 1] - 528 : -1;

function isAt(b: Uint8Array, at: number, bytes: Uint8Array): boolean {
  for (let i = 0; i < bytes.length; i++) if (b[at + i] !== bytes[i]) return false;
  return true;
}

const bytesOf = (text: string) => Uint8Array.from(text, (letter) => letter.charCodeAt(0));

/** Text of the field from here on. */
function fieldAt({ at, delimiter }: TimeScan, b: Uint8Array): string {
  let end = at;
  while (b[end] !== delimiter && b[end] !== QUOTE && b[end] >= SPACE) end++;
  return String.fromCharCode(...b.subarray(at, end)).trim();
}
