import { METERS_PER } from '../../shared/units.ts';
import { DEFAULT_SENTINELS, EARLIEST_TIME, isPlain, type Layout, RESET_2000 } from './layout.ts';
import type { RowColumns } from './row-columns.ts';
import { daysSince1970, isCalendarDay, type TimeForm } from './times.ts';

/** What the scanner saw on the way, for the messages about a log. */
export interface ScanNotes {
  /** Physical line about to be read, 1-based. */
  line: number;
  /** Most decimals in any latitude or longitude. */
  decimals: number;
  /** Lines by how they end. */
  lf: number;
  crlf: number;
  cr: number;
  /** Bytes above 127 were passed over. */
  hasHighBytes: boolean;
  /** First line with a decimal comma in quotes where commas separate; 0 for none. */
  quotedDecimalLine: number;
  /** Times by form. */
  readonly forms: Record<TimeForm, number>;
}

export const createScanNotes = (): ScanNotes => ({
  line: 1,
  decimals: 0,
  lf: 0,
  crlf: 0,
  cr: 0,
  hasHighBytes: false,
  quotedDecimalLine: 0,
  forms: {
    zoned: 0,
    local: 0,
    seconds: 0,
    milliseconds: 0,
    microseconds: 0,
    nanoseconds: 0,
    'day-number': 0,
    'time-of-day': 0,
    date: 0,
  },
});

/**
 * Reads whole lines from `from`, storing a row for each, until `to` or the first line it does not recognise.
 *
 * The bytes end with a line end at `to - 1`, and `rows` has room for (to - from) / 6 rows.
 * @returns Offset of the first line not read; nothing of that line is stored.
 */
export type Scanner = (bytes: Uint8Array, from: number, to: number, rows: RowColumns) => number;

const LF = 10;
const CR = 13;
const SPACE = 32;
const QUOTE = 34;
const PLUS = 43;
const COMMA = 44;
const MINUS = 45;
const POINT = 46;
const SLASH = 47;
const COLON = 58;
const LETTER_T = 84;
const LETTER_Z = 90;

/** Digits that a double holds exactly; a longer number goes to the tolerant reader. */
const MOST_DIGITS = 15;
const POWERS = Float64Array.from({ length: 16 }, (_, i) => 10 ** i);
/** Depths as written from which on one of the values for "no depth" is possible. */
const FIRST_SENTINEL = 9998;

const IGNORE = 0;
const LAT = 1;
const LON = 2;
const DEPTH = 3;
const TIME = 4;
const TEMPERATURE = 5;
const DAY = 6;
const CLOCK = 7;

/**
 * Scanner for logs whose rows are plain numbers and ISO or Unix times: no text is made, a value is its digits as
 * one whole number over a power of ten, which is the double nearest to the text (both are exact up to 15 digits).
 *
 * It stores only rows that are in every way ordinary. Any other line, good or bad, is left to the tolerant
 * reader, so there is one place that decides about it. Undefined for layouts it cannot read.
 */
export function createScanner(layout: Layout, notes: ScanNotes): Scanner | undefined {
  if (!isPlain(layout)) return undefined;
  const delimiter = layout.delimiter.charCodeAt(0);
  const mark = layout.decimal === '.' ? POINT : COMMA;
  const bareMark = mark === delimiter ? -1 : mark;
  const kinds = Uint8Array.from(layout.columns, (_, i) => kindOf(layout, i));
  const last = kinds.length - 1;
  const perUnit = METERS_PER[layout.depthUnit!];
  const fahrenheit = layout.temperatureUnit === 'F';
  const zone = layout.time.zone.fixed ?? 0;
  const { maxDepth, zeroIsValid, latest } = layout;
  // The usual values for "none" are out of range or FIRST_SENTINEL and more; only the person's own need a look.
  const sentinels = [...layout.sentinels].filter((value) => !DEFAULT_SENTINELS.includes(value));
  const { forms } = notes;

  let b: Uint8Array = new Uint8Array(0);
  let p = 0;
  let whole = 0;
  let decimals = 0;
  let lastDay = -1;
  let lastDaySeconds = 0;
  let isUtc = false;
  const order = layout.time.dateOrder;

  /** Plain number at p; NaN when it is none, or too long. Leaves p behind it. */
  const scanNumber = (decimalMark: number): number => {
    let c = b[p];
    const isNegative = c === MINUS;
    if (isNegative || c === PLUS) c = b[++p];
    let value = 0;
    const start = p;
    while (c >= 48 && c <= 57) {
      value = value * 10 + (c - 48);
      c = b[++p];
    }
    whole = p - start;
    decimals = 0;
    if (c === decimalMark) {
      const point = p;
      c = b[++p];
      while (c >= 48 && c <= 57) {
        value = value * 10 + (c - 48);
        c = b[++p];
      }
      decimals = p - point - 1;
    }
    const digits = whole + decimals;
    if (digits === 0 || digits > MOST_DIGITS) return Number.NaN;
    if (decimals > 0) value /= POWERS[decimals];
    return isNegative ? -value : value;
  };

  /** Two digits at an offset; -1 when they are not. */
  const two = (at: number): number => {
    const tens = b[at] - 48;
    const ones = b[at + 1] - 48;
    return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : -1;
  };

  /** Seconds since 1970 at the start of a day at p: 2024-05-01, 2024/05/01, or 1/5/2024 in the order of the log. */
  const scanDay = (): number => {
    let year = -1;
    let month = -1;
    let day = -1;
    const mark = b[p + 4];
    if (mark === MINUS || mark === SLASH) {
      const century = two(p);
      const rest = two(p + 2);
      if (century < 0 || rest < 0 || b[p + 7] !== mark) return Number.NaN;
      year = century * 100 + rest;
      month = two(p + 5);
      day = two(p + 8);
      p += 10;
    } else {
      if (order !== 'dmy' && order !== 'mdy') return Number.NaN;
      const first = oneOrTwo();
      if (first < 0 || (b[p] !== SLASH && b[p] !== POINT && b[p] !== MINUS)) return Number.NaN;
      p++;
      const second = oneOrTwo();
      if (second < 0 || (b[p] !== SLASH && b[p] !== POINT && b[p] !== MINUS)) return Number.NaN;
      const century = two(p + 1);
      const rest = two(p + 3);
      if (century < 0 || rest < 0) return Number.NaN;
      year = century * 100 + rest;
      day = order === 'dmy' ? first : second;
      month = order === 'dmy' ? second : first;
      p += 5;
    }
    if (month < 0 || day < 0) return Number.NaN;
    const key = (year * 16 + month) * 32 + day;
    if (key !== lastDay) {
      if (!isCalendarDay(year, month, day)) return Number.NaN;
      lastDay = key;
      lastDaySeconds = daysSince1970(year, month, day) * 86400;
    }
    return lastDaySeconds;
  };

  const oneOrTwo = (): number => {
    const first = b[p] - 48;
    if (first < 0 || first > 9) return -1;
    const second = b[++p] - 48;
    if (second < 0 || second > 9) return first;
    p++;
    return first * 10 + second;
  };

  /** Second of the day of a clock time at p, with `isUtc` told; NaN when it is none. */
  const scanClock = (): number => {
    const hour = two(p);
    const minute = two(p + 3);
    const second = two(p + 6);
    if (b[p + 2] !== COLON || b[p + 5] !== COLON) return Number.NaN;
    if (hour < 0 || hour > 23 || minute < 0 || minute > 59 || second < 0 || second > 59) return Number.NaN;
    let seconds = hour * 3600 + minute * 60 + second;
    p += 8;
    if (b[p] === POINT || (b[p] === COMMA && delimiter !== COMMA)) {
      const point = p++;
      let part = 0;
      while (b[p] >= 48 && b[p] <= 57) part = part * 10 + (b[p++] - 48);
      const digits = p - point - 1;
      if (digits < 1 || digits > 9) return Number.NaN;
      seconds += part / POWERS[digits];
    }
    isUtc = b[p] === LETTER_Z;
    if (isUtc) p++;
    // What follows and is no end of the field (an offset, am or pm) is caught by the caller.
    return seconds;
  };

  const inUtc = (seconds: number): number => {
    if (isUtc) {
      forms.zoned++;
      return seconds;
    }
    forms.local++;
    return seconds - zone;
  };

  /** Date and clock time in one field. */
  const scanDateTime = (): number => {
    const day = scanDay();
    if (b[p] !== LETTER_T && b[p] !== SPACE) return Number.NaN;
    p++;
    return inUtc(day + scanClock());
  };

  const isBelieved = (time: number): boolean =>
    time >= EARLIEST_TIME && time <= latest && (time < RESET_2000[0] || time >= RESET_2000[1]);

  const scanTime = (): number => {
    if (
      b[p + 4] === MINUS ||
      b[p + 4] === SLASH ||
      b[p + 2] === SLASH ||
      b[p + 1] === SLASH ||
      b[p + 2] === POINT
    ) {
      return scanDateTime();
    }
    const value = scanNumber(POINT);
    if (whole === 10) {
      forms.seconds++;
      return value;
    }
    if (whole === 13) {
      forms.milliseconds++;
      return value / 1e3;
    }
    return Number.NaN;
  };

  // One loop over the fields of a line, not a function for each: at some 15 ns a field a call per field shows.
  return (bytes, from, to, rows) => {
    b = bytes;
    const { lat: lats, lon: lons, depth: depths, time: times, temperature: temperatures, line: lines } = rows;
    let lineStart = from;
    while (lineStart < to) {
      p = lineStart;
      if (b[p] === LF) {
        notes.lf++;
        notes.line++;
        lineStart++;
        continue;
      }
      let lat = Number.NaN;
      let lon = Number.NaN;
      let depth = Number.NaN;
      let time = Number.NaN;
      let temperature = Number.NaN;
      let day = Number.NaN;
      let clock = Number.NaN;
      let most = 0;
      let field = 0;
      for (; field <= last; field++) {
        while (b[p] === SPACE) p++;
        const quoted = b[p] === QUOTE;
        if (quoted) p++;
        const kind = kinds[field];
        if (kind === IGNORE) {
          let c = b[p];
          if (quoted) {
            while (c >= SPACE) {
              if (c === QUOTE) {
                if (b[p + 1] !== QUOTE) break;
                p++;
              } else if (c > 126) notes.hasHighBytes = true;
              c = b[++p];
            }
          } else {
            while (c !== delimiter && c >= SPACE && c !== QUOTE) {
              if (c > 126) notes.hasHighBytes = true;
              c = b[++p];
            }
          }
        } else if (kind === TIME) {
          time = scanTime();
          if (!isBelieved(time)) break;
        } else if (kind === DAY) {
          day = scanDay();
          if (Number.isNaN(day)) break;
          if (!Number.isNaN(clock)) {
            time = inUtc(day + clock);
            if (!isBelieved(time)) break;
          }
        } else if (kind === CLOCK) {
          clock = scanClock();
          if (Number.isNaN(clock)) break;
          if (!Number.isNaN(day)) {
            time = inUtc(day + clock);
            if (!isBelieved(time)) break;
          }
        } else if (kind === TEMPERATURE) {
          if (b[p] !== delimiter && b[p] >= SPACE) {
            const value = scanNumber(quoted ? mark : bareMark);
            if (Number.isNaN(value)) break;
            temperature = fahrenheit ? (value - 32) / 1.8 : value;
          }
        } else {
          const value = scanNumber(quoted ? mark : bareMark);
          if (Number.isNaN(value) || (sentinels.length > 0 && sentinels.includes(value))) break;
          if (kind === DEPTH) {
            if (value >= FIRST_SENTINEL) break;
            depth = value * perUnit;
          } else {
            if (whole > 3 || (whole > 1 && b[p] === 101)) break;
            if (decimals > most) most = decimals;
            if (kind === LAT) lat = value;
            else lon = value;
          }
        }
        if (quoted) {
          if (b[p] !== QUOTE) break;
          p++;
          if (kind !== IGNORE && mark === COMMA && delimiter === COMMA && notes.quotedDecimalLine === 0) {
            notes.quotedDecimalLine = notes.line;
          }
        }
        while (b[p] === SPACE) p++;
        if (field < last) {
          if (b[p] !== delimiter) break;
          p++;
        }
      }
      if (field <= last) break;
      const end = b[p];
      if (end !== LF && end !== CR) break;
      if (!(lat >= -89 && lat <= 89 && lon >= -180 && lon <= 180)) break;
      if (lat < 1e-6 && lat > -1e-6 && lon < 1e-6 && lon > -1e-6) break;
      if (!(depth <= maxDepth && (depth > 0 || (zeroIsValid && depth === 0)))) break;
      const row = rows.count++;
      lats[row] = lat;
      lons[row] = lon;
      depths[row] = depth;
      times[row] = time;
      temperatures[row] = temperature;
      lines[row] = notes.line++;
      if (most > notes.decimals) notes.decimals = most;
      if (end === LF) notes.lf++;
      else if (b[p + 1] === LF) {
        notes.crlf++;
        p++;
      } else notes.cr++;
      lineStart = p + 1;
    }
    return lineStart;
  };
}

function kindOf(layout: Layout, column: number): number {
  const { at } = layout;
  if (column === at.lat) return LAT;
  if (column === at.lon) return LON;
  if (column === at.depth) return DEPTH;
  if (column === at.date) return DAY;
  if (column === at.time) return at.date >= 0 ? CLOCK : TIME;
  if (column === at.temperature && layout.temperatureUnit !== undefined) return TEMPERATURE;
  return IGNORE;
}
