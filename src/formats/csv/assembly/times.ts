import { byteAt, isDigit, power } from './memory';

/** The times of `time-scanner.ts`, rule for rule; see there for what each function takes and gives. */

const SPACE: i32 = 32;
const PLUS: i32 = 43;
const COMMA: i32 = 44;
const MINUS: i32 = 45;
const POINT: i32 = 46;
const SLASH: i32 = 47;
const COLON: i32 = 58;
const LETTER_T: i32 = 84;
const LETTER_Z: i32 = 90;
const MOST_DIGITS: i32 = 15;

/** Order of day and month in dates with the year last; 1 is the day first. */
const YEAR_LAST_UNKNOWN: i32 = 0;
const MONTH_FIRST: i32 = 2;

/** Behind what was read last. */
export let at: usize = 0;
export let day: f64 = 0;
export let minutes: f64 = 0;
export let hasMinute: bool = false;
let isUtc: bool = false;
let lastDay: i32 = -1;
let lastDaySeconds: f64 = 0;

let delimiter: i32 = COMMA;
let zone: f64 = 0;
let order: i32 = YEAR_LAST_UNKNOWN;

/** Times by form, added to until they are fetched. */
export let zoned: i32 = 0;
export let local: i32 = 0;
export let unixSeconds: i32 = 0;
export let unixMilliseconds: i32 = 0;

export function setTimes(ofDelimiter: i32, ofZone: f64, ofOrder: i32): void {
  delimiter = ofDelimiter;
  zone = ofZone;
  order = ofOrder;
}

export function clearForms(): void {
  zoned = local = unixSeconds = unixMilliseconds = 0;
}

export function addForms(ofZoned: i32, ofLocal: i32): void {
  zoned += ofZoned;
  local += ofLocal;
}

export function scanTime(from: usize): f64 {
  at = from;
  hasMinute = false;
  const fifth = byteAt(from + 4);
  const third = byteAt(from + 2);
  const isDate =
    fifth === MINUS || fifth === SLASH || third === SLASH || byteAt(from + 1) === SLASH || third === POINT;
  return isDate ? scanDateTime() : scanUnix();
}

function scanDateTime(): f64 {
  const start = at;
  day = scanDay(at);
  const mark = byteAt(at);
  if (mark !== LETTER_T && mark !== SPACE) return NaN;
  at++;
  hasMinute = at - start === 11;
  return inUtc(day + scanClock(at));
}

export function inUtc(seconds: f64): f64 {
  if (isUtc) {
    zoned++;
    return seconds;
  }
  local++;
  return seconds - zone;
}

export function scanDay(from: usize): f64 {
  at = from;
  const mark = byteAt(from + 4);
  const key = mark === MINUS || mark === SLASH ? yearFirst(mark) : yearLast();
  if (key < 0) return NaN;
  if (key !== lastDay) {
    const year = key >> 9;
    const month = (key >> 5) & 15;
    const ofMonth = key & 31;
    if (!isCalendarDay(year, month, ofMonth)) return NaN;
    lastDay = key;
    lastDaySeconds = <f64>daysSince1970(year, month, ofMonth) * 86400;
  }
  return lastDaySeconds;
}

function dayKey(century: i32, rest: i32, month: i32, ofMonth: i32): i32 {
  return century < 0 || rest < 0 || month < 0 || month > 12 || ofMonth < 0 || ofMonth > 31
    ? -1
    : ((century * 100 + rest) << 9) | (month << 5) | ofMonth;
}

function yearFirst(mark: i32): i32 {
  const p = at;
  if (byteAt(p + 7) !== mark) return -1;
  at += 10;
  return dayKey(twoDigits(p), twoDigits(p + 2), twoDigits(p + 5), twoDigits(p + 8));
}

function yearLast(): i32 {
  if (order === YEAR_LAST_UNKNOWN) return -1;
  const first = oneOrTwo();
  if (!isDateMark(byteAt(at++))) return -1;
  const second = oneOrTwo();
  if (!isDateMark(byteAt(at++))) return -1;
  const p = at;
  at += 4;
  const ofMonth = order === MONTH_FIRST ? second : first;
  const month = order === MONTH_FIRST ? first : second;
  return dayKey(twoDigits(p), twoDigits(p + 2), month, ofMonth);
}

function isDateMark(byte: i32): bool {
  return byte === SLASH || byte === POINT || byte === MINUS;
}

export function scanClock(from: usize): f64 {
  at = from;
  const hour = twoDigits(from);
  const minute = twoDigits(from + 3);
  const second = twoDigits(from + 6);
  if (byteAt(from + 2) !== COLON || byteAt(from + 5) !== COLON) return NaN;
  if (hour < 0 || hour > 23 || minute < 0 || minute > 59 || second < 0 || second > 59) return NaN;
  minutes = <f64>(hour * 3600 + minute * 60);
  let seconds = minutes + <f64>second;
  let p = from + 8;
  let byte = byteAt(p);
  if (byte === POINT || (byte === COMMA && delimiter !== COMMA)) {
    const point = p++;
    let part: f64 = 0;
    byte = byteAt(p);
    while (isDigit(byte)) {
      part = part * 10 + <f64>(byte - 48);
      byte = byteAt(++p);
    }
    const digits = <i32>(p - point) - 1;
    if (digits < 1 || digits > 9) return NaN;
    seconds += part / power(digits);
  }
  isUtc = byte === LETTER_Z;
  at = isUtc ? p + 1 : p;
  return seconds;
}

function scanUnix(): f64 {
  let p = at;
  let byte = byteAt(p);
  const isNegative = byte === MINUS;
  if (isNegative || byte === PLUS) byte = byteAt(++p);
  const start = p;
  let value: f64 = 0;
  while (isDigit(byte)) {
    value = value * 10 + <f64>(byte - 48);
    byte = byteAt(++p);
  }
  const whole = <i32>(p - start);
  let decimals: i32 = 0;
  if (byte === POINT) {
    const point = p;
    byte = byteAt(++p);
    while (isDigit(byte)) {
      value = value * 10 + <f64>(byte - 48);
      byte = byteAt(++p);
    }
    decimals = <i32>(p - point) - 1;
  }
  at = p;
  if ((whole !== 10 && whole !== 13) || whole + decimals > MOST_DIGITS) return NaN;
  value = (isNegative ? -value : value) / power(decimals);
  if (whole === 10) {
    unixSeconds++;
    return value;
  }
  unixMilliseconds++;
  return value / 1000;
}

function twoDigits(p: usize): i32 {
  const tens = byteAt(p) - 48;
  const ones = byteAt(p + 1) - 48;
  return <u32>tens < 10 && <u32>ones < 10 ? tens * 10 + ones : -1;
}

function oneOrTwo(): i32 {
  const first = byteAt(at) - 48;
  if (!(<u32>first < 10)) return -1;
  const second = byteAt(++at) - 48;
  if (!(<u32>second < 10)) return first;
  at++;
  return first * 10 + second;
}

function isCalendarDay(year: i32, month: i32, ofMonth: i32): bool {
  if (month < 1 || month > 12 || ofMonth < 1) return false;
  const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  const isShort = month === 4 || month === 6 || month === 9 || month === 11;
  const days = month === 2 ? (isLeap ? 29 : 28) : isShort ? 30 : 31;
  return ofMonth <= days;
}

/** Of the proleptic Gregorian calendar; years from 0 on. */
function daysSince1970(year: i32, month: i32, ofMonth: i32): i32 {
  const y = month <= 2 ? year - 1 : year;
  // Rounded down: January and February of year 0 count to year -1.
  const era = (y >= 0 ? y : y - 399) / 400;
  const yearOfEra = y - era * 400;
  const dayOfYear = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + ofMonth - 1;
  return era * 146097 + yearOfEra * 365 + yearOfEra / 4 - yearOfEra / 100 + dayOfYear - 719468;
}
