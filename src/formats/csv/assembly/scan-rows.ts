import {
  byteAt,
  DEPTHS,
  isDigit,
  KINDS,
  LATS,
  LINES,
  LONS,
  power,
  SENTINELS,
  TEMPERATURES,
  TEXT,
  TIMES,
} from './memory';
import {
  addForms,
  clearForms,
  hasMinute,
  inUtc,
  scanClock,
  scanDay,
  scanTime,
  setTimes,
  at as timesAt,
  day as timesDay,
  minutes as timesMinutes,
} from './times';

/** The scanner of `byte-scanner.ts`, rule for rule: there is said what it takes, and why. */

const LF: i32 = 10;
const CR: i32 = 13;
const SPACE: i32 = 32;
const QUOTE: i32 = 34;
const PLUS: i32 = 43;
const COMMA: i32 = 44;
const MINUS: i32 = 45;
const POINT: i32 = 46;
const COLON: i32 = 58;
const LETTER_Z: i32 = 90;

const MOST_DIGITS: i32 = 15;
const SHORT_DIGITS: i32 = 9;
const FIRST_SENTINEL: f64 = 9998;
const MINUTE_BYTES: usize = 17;

const IGNORE: i32 = 0;
const TIME: i32 = 1;
const DAY: i32 = 2;
const LAT: i32 = 4;
const DEPTH: i32 = 6;
const TEMPERATURE: i32 = 7;

const EARLIEST_TIME: f64 = 631152000;
const RESET_FROM: f64 = 946684800;
const RESET_TO: f64 = 946857600;

let delimiter: i32 = COMMA;
let mark: i32 = POINT;
let lastField: i32 = 0;
let perUnit: f64 = 1;
let isFahrenheit: bool = false;
let zone: f64 = 0;
let maxDepth: f64 = 0;
let leastDepth: f64 = 0;
let latest: f64 = 0;
let sentinels: i32 = 0;

/** What was seen by the last call. */
export let rows: i32 = 0;
export let lines: i32 = 0;
export let lf: i32 = 0;
export let crlf: i32 = 0;
export let cr: i32 = 0;
export let decimals: i32 = 0;
export let hasHighBytes: bool = false;
export let quotedDecimalLine: i32 = 0;

export { local, unixMilliseconds, unixSeconds, zoned } from './times';

/** Says how the lines are laid out; kinds of fields, powers and sentinels are put into memory by the caller. */
export function setLayout(
  ofDelimiter: i32,
  ofMark: i32,
  fields: i32,
  ofPerUnit: f64,
  inFahrenheit: bool,
  ofZone: f64,
  ofOrder: i32,
  ofMaxDepth: f64,
  ofLeastDepth: f64,
  ofLatest: f64,
  ofSentinels: i32,
): void {
  delimiter = ofDelimiter;
  mark = ofMark;
  lastField = fields - 1;
  perUnit = ofPerUnit;
  isFahrenheit = inFahrenheit;
  zone = ofZone;
  maxDepth = ofMaxDepth;
  leastDepth = ofLeastDepth;
  latest = ofLatest;
  sentinels = ofSentinels;
  setTimes(ofDelimiter, ofZone, ofOrder);
}

/**
 * Scans lines from `TEXT` on into rows, the first of them line `firstLine`.
 *
 * @param length Bytes; they end with a line end.
 * @returns Bytes of the lines read: all, or up to the first line that is not ordinary.
 */
export function scan(length: i32, firstLine: i32): i32 {
  const to: usize = TEXT + length;
  const last = lastField;
  const bareMark = mark === delimiter ? -1 : mark;
  const isQuotedDecimal = mark === COMMA && delimiter === COMMA;
  let known: usize = 0;
  let knownDay: f64 = 0;
  let knownMinutes: f64 = 0;
  let row: usize = 0;
  let line = firstLine;
  let lineStart: usize = TEXT;
  let zonedHere = 0;
  let localHere = 0;
  lf = crlf = cr = decimals = quotedDecimalLine = 0;
  hasHighBytes = false;
  clearForms();
  while (lineStart < to) {
    let p = lineStart;
    let c = byteAt(p);
    if (c === LF) {
      lf++;
      line++;
      lineStart++;
      continue;
    }
    let lat = NaN;
    let lon = NaN;
    let depth = NaN;
    let time = NaN;
    let temperature = NaN;
    let day = NaN;
    let clockTime = NaN;
    let most = 0;
    let field = 0;
    for (; field <= last; field++) {
      while (c === SPACE) c = byteAt(++p);
      const isQuoted = c === QUOTE;
      if (isQuoted) c = byteAt(++p);
      const kind = <i32>load<u8>(KINDS + field);
      if (kind >= LAT) {
        if (kind !== TEMPERATURE || (c !== delimiter && c >= SPACE)) {
          const isNegative = c === MINUS;
          if (isNegative || c === PLUS) c = byteAt(++p);
          const start = p;
          let digits: i64 = 0;
          while (isDigit(c)) {
            digits = digits * 10 + (c - 48);
            c = byteAt(++p);
          }
          const wholeDigits = <i32>(p - start);
          let parts = 0;
          if (c === (isQuoted ? mark : bareMark)) {
            c = byteAt(++p);
            const point = p;
            while (isDigit(c)) {
              digits = digits * 10 + (c - 48);
              c = byteAt(++p);
            }
            parts = <i32>(p - point);
          }
          // Up to 15 digits make a whole number that a double holds exactly.
          if (wholeDigits > SHORT_DIGITS || wholeDigits + parts > MOST_DIGITS || wholeDigits + parts === 0)
            break;
          let value = <f64>digits;
          if (parts > 0) value /= power(parts);
          if (isNegative) value = -value;
          if (kind === TEMPERATURE) temperature = isFahrenheit ? (value - 32) / 1.8 : value;
          else {
            if (sentinels > 0 && isSentinel(value)) break;
            if (kind === DEPTH) {
              if (value >= FIRST_SENTINEL) break;
              depth = value * perUnit;
            } else {
              if (wholeDigits > 3) break;
              if (parts > most) most = parts;
              if (kind === LAT) lat = value;
              else lon = value;
            }
          }
        }
      } else if (kind === TIME) {
        if (known > 0 && isSameMinute(known, p)) {
          const tens = byteAt(p + MINUTE_BYTES) - 48;
          const ones = byteAt(p + MINUTE_BYTES + 1) - 48;
          if (!(<u32>tens < 6 && <u32>ones < 10)) break;
          let seconds = knownMinutes + <f64>(tens * 10 + ones);
          p += MINUTE_BYTES + 2;
          c = byteAt(p);
          if (c === POINT || (c === COMMA && delimiter !== COMMA)) {
            const point = p;
            const stop = p + 1 + SHORT_DIGITS;
            let part = 0;
            c = byteAt(++p);
            while (isDigit(c) && p < stop) {
              part = part * 10 + c - 48;
              c = byteAt(++p);
            }
            const digits = <i32>(p - point) - 1;
            if (digits < 1) break;
            seconds += <f64>part / power(digits);
          }
          if (c === LETTER_Z) {
            zonedHere++;
            time = knownDay + seconds;
            p++;
          } else {
            localHere++;
            time = knownDay + seconds - zone;
          }
        } else {
          const start = p;
          time = scanTime(p);
          p = timesAt;
          known = hasMinute ? start : 0;
          knownDay = timesDay;
          knownMinutes = timesMinutes;
        }
        c = byteAt(p);
        if (!isBelieved(time)) break;
      } else if (kind === IGNORE) {
        if (isQuoted) {
          while (c >= SPACE) {
            if (c === QUOTE) {
              if (byteAt(p + 1) !== QUOTE) break;
              p++;
            } else if (c > 126) hasHighBytes = true;
            c = byteAt(++p);
          }
        } else {
          while (c !== delimiter && c >= SPACE && c !== QUOTE) {
            if (c > 126) hasHighBytes = true;
            c = byteAt(++p);
          }
        }
      } else {
        const value = kind === DAY ? scanDay(p) : scanClock(p);
        // Neither is true of NaN.
        if (!(value < Infinity)) break;
        if (kind === DAY) day = value;
        else clockTime = value;
        p = timesAt;
        c = byteAt(p);
        const both = day + clockTime;
        if (both < Infinity) {
          time = inUtc(both);
          if (!isBelieved(time)) break;
        }
      }
      if (isQuoted) {
        if (c !== QUOTE) break;
        c = byteAt(++p);
        if (isQuotedDecimal && kind !== IGNORE && quotedDecimalLine === 0) quotedDecimalLine = line;
      }
      while (c === SPACE) c = byteAt(++p);
      if (field < last) {
        if (c !== delimiter) break;
        c = byteAt(++p);
      }
    }
    if (field <= last || (c !== LF && c !== CR)) break;
    if (!(lat >= -89 && lat <= 89 && lon >= -180 && lon <= 180)) break;
    if (lat < 1e-6 && lat > -1e-6 && lon < 1e-6 && lon > -1e-6) break;
    if (!(depth <= maxDepth && depth >= leastDepth)) break;
    store<f64>(LATS + (row << 3), lat);
    store<f64>(LONS + (row << 3), lon);
    store<f64>(TIMES + (row << 3), time);
    store<f32>(DEPTHS + (row << 2), <f32>depth);
    store<f32>(TEMPERATURES + (row << 2), <f32>temperature);
    store<i32>(LINES + (row << 2), line);
    row++;
    line++;
    if (most > decimals) decimals = most;
    if (c === LF) lf++;
    else if (byteAt(p + 1) === LF) {
      crlf++;
      p++;
    } else cr++;
    lineStart = p + 1;
  }
  addForms(zonedHere, localHere);
  rows = <i32>row;
  lines = line - firstLine;
  return <i32>(lineStart - TEXT);
}

/** True where two dates and times agree down to the minute; they mostly do. */
function isSameMinute(known: usize, place: usize): bool {
  return (
    load<u64>(place + 8) === load<u64>(known + 8) &&
    load<u64>(place) === load<u64>(known) &&
    byteAt(place + MINUTE_BYTES - 1) === COLON
  );
}

function isBelieved(time: f64): bool {
  return time >= EARLIEST_TIME && time <= latest && (time < RESET_FROM || time >= RESET_TO);
}

function isSentinel(value: f64): bool {
  for (let i: usize = 0; i < <usize>sentinels; i++)
    if (load<f64>(SENTINELS + (i << 3)) === value) return true;
  return false;
}
