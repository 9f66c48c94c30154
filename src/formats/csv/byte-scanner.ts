import { METERS_PER } from '../../../shared/contract/index.ts';
import { DEFAULT_SENTINELS, isLogTime, type Layout, RESET_2000 } from './layout.ts';
import { COMMA, CR, LF, MINUS, PLUS, POINT, QUOTE, SPACE } from './lines.ts';
import type { RowColumns, ScanNotes } from './row-columns.ts';
import { createTimeScan, inUtc, MAX_DIGITS, POWERS, scanClock, scanDay, scanTime } from './time-scanner.ts';

/**
 * Reads lines from offset `from` to offset `to`, or to the first line that the scanner does not recognize.
 * Stores a row for each line that is not blank.
 *
 * The byte at `to - 1` must end a line, and `rows` must have room for (to - from) / 6 more rows.
 * @returns Offset of the first line not read.
 */
type Scanner = (bytes: Uint8Array, from: number, to: number, rows: RowColumns) => number;

/** Maximum number of decimal digits that always fit a signed 32-bit integer. */
const SHORT_DIGITS = 9;
/** The tolerant reader handles this depth and greater ones: 9999 and some greater values mean "no depth". */
const FIRST_SENTINEL = 9998;
/** Bytes per call of `scanRows`. Short calls let the JavaScript engine switch to optimized code early. */
const STRETCH = 16 * 1024;

const IGNORE = 0;
const TIME = 1;
const DAY = 2;
const CLOCK = 3;
/** Kinds from LAT on are plain numbers. */
const LAT = 4;
const LON = 5;
const DEPTH = 6;
const TEMPERATURE = 7;

/**
 * Creates a scanner for logs whose rows are plain numbers, dates and times. The scanner makes no strings: a
 * value is the whole number that its digits form, divided by a power of ten. Number and power are exact up to
 * 15 digits, so the quotient is the double nearest to the text.
 *
 * The scanner stores only ordinary rows. The tolerant reader handles every other line, good or bad, so the
 * rules for such lines exist only there.
 * @returns Undefined for a layout that the scanner cannot read.
 */
export function createScanner(layout: Layout, notes: ScanNotes): Scanner | undefined {
  if (!isPlain(layout)) return undefined;
  const plan = scanPlan(layout, notes);
  return (bytes, from, to, rows) => {
    let at = from;
    while (at < to) {
      const stop = Math.min(at + STRETCH, to);
      at = scanRows(plan, bytes, at, stop, rows);
      if (at < stop) break;
    }
    return at;
  };
}

function isPlain({ at, delimiter, decimal, vertical, depthUnit, position, time, validity }: Layout): boolean {
  return (
    [at.lat, at.lon, at.depth].every((column) => column >= 0) &&
    [at.unit, at.ns, at.ew, at.datum, at.channel].every((column) => column < 0) &&
    // A date is read only together with a clock time in another column.
    (at.date < 0 || at.time >= 0) &&
    (at.time < 0 || (time.zone.fixed !== undefined && !time.spreadsheetDays)) &&
    validity.length === 0 &&
    delimiter !== ' ' &&
    (decimal === '.' || delimiter !== '.') &&
    vertical === 'down' &&
    depthUnit !== undefined &&
    !position.packed &&
    position.scale === 1
  );
}

type ScanPlan = ReturnType<typeof scanPlan>;

function scanPlan(layout: Layout, notes: ScanNotes) {
  const delimiter = layout.delimiter.charCodeAt(0);
  const mark = layout.decimal === '.' ? POINT : COMMA;
  return {
    layout,
    delimiter,
    mark,
    // A number without quotes has no decimal mark when the mark is also the delimiter.
    bareMark: mark === delimiter ? -1 : mark,
    kinds: Uint8Array.from(layout.columns, (_, i) => kindOf(layout, i)),
    perUnit: METERS_PER[layout.depthUnit!],
    // Default sentinels need no check. As a depth, each is negative, or FIRST_SENTINEL or more. As a
    // position, each is out of range, except -1, which is an ordinary position.
    sentinels: [...layout.sentinels].filter((value) => !DEFAULT_SENTINELS.includes(value)),
    clock: createTimeScan(layout, notes.forms),
    notes,
  };
}

/**
 * Reads the lines that begin before `to`, each to its end; see `Scanner`.
 *
 * The loop over the fields calls no function for numbers, so that the offset and the digits stay in local
 * variables: a call per field costs as much as reading its digits. The loop is a module function and not a
 * closure, so that it is compiled once and not again for each log.
 */
function scanRows(plan: ScanPlan, b: Uint8Array, from: number, to: number, rows: RowColumns): number {
  const { layout, delimiter, mark, bareMark, kinds, perUnit, sentinels, clock, notes } = plan;
  const { maxDepth, latest } = layout;
  const isFahrenheit = layout.temperatureUnit === 'F';
  const { lat: lats, lon: lons, depth: depths, time: times, temperature: temperatures, line: lines } = rows;
  const last = kinds.length - 1;
  const hasSentinels = sentinels.length > 0;
  const hasTime = layout.at.time >= 0;
  const isQuotedDecimal = mark === COMMA && delimiter === COMMA;
  const leastDepth = layout.zeroIsValid ? 0 : Number.MIN_VALUE;
  // Every call computes its first day anew. Otherwise the code that computes days would run too rarely before
  // the loop is optimized, and at the next midnight the JavaScript engine would discard the optimized loop.
  clock.lastDay = -1;
  let row = rows.count;
  let line = notes.line;
  let lf = 0;
  let lineStart = from;
  while (lineStart < to) {
    let p = lineStart;
    let c = b[p];
    if (c === LF) {
      lf++;
      line++;
      lineStart++;
      continue;
    }
    let lat = Number.NaN;
    let lon = Number.NaN;
    let depth = Number.NaN;
    let time = Number.NaN;
    let temperature = Number.NaN;
    let day = Number.NaN;
    let clockTime = Number.NaN;
    let most = 0;
    let field = 0;
    for (; field <= last; field++) {
      while (c === SPACE) c = b[++p];
      const isQuoted = c === QUOTE;
      if (isQuoted) c = b[++p];
      const kind = kinds[field];
      if (kind >= LAT) {
        if (kind !== TEMPERATURE || (c !== delimiter && c >= SPACE)) {
          const isNegative = c === MINUS;
          if (isNegative || c === PLUS) c = b[++p];
          const start = p;
          let whole = 0;
          let part = 0;
          let more = 0;
          let decimals = 0;
          while (c >= 48 && c <= 57) {
            whole = (Math.imul(whole, 10) + c - 48) | 0;
            c = b[++p];
          }
          const wholeDigits = p - start;
          if (c === (isQuoted ? mark : bareMark)) {
            c = b[++p];
            const point = p;
            const short = p + SHORT_DIGITS;
            while (c >= 48 && c <= 57 && p < short) {
              part = (Math.imul(part, 10) + c - 48) | 0;
              c = b[++p];
            }
            while (c >= 48 && c <= 57) {
              more = more * 10 + (c - 48);
              c = b[++p];
            }
            decimals = p - point;
          }
          if (
            wholeDigits > SHORT_DIGITS ||
            wholeDigits + decimals > MAX_DIGITS ||
            wholeDigits + decimals === 0
          )
            break;
          let value = whole;
          if (decimals > SHORT_DIGITS)
            value =
              (whole * POWERS[decimals] + part * POWERS[decimals - SHORT_DIGITS] + more) / POWERS[decimals];
          else if (decimals > 0) value = (whole * POWERS[decimals] + part) / POWERS[decimals];
          if (isNegative) value = -value;
          if (kind === TEMPERATURE) temperature = isFahrenheit ? (value - 32) / 1.8 : value;
          else {
            if (hasSentinels && sentinels.includes(value)) break;
            if (kind === DEPTH) {
              if (value >= FIRST_SENTINEL) break;
              depth = value * perUnit;
            } else {
              if (wholeDigits > 3) break;
              if (decimals > most) most = decimals;
              if (kind === LAT) lat = value;
              else lon = value;
            }
          }
        }
      } else if (kind === TIME) {
        clock.at = p;
        time = scanTime(clock, b);
        p = clock.at;
        c = b[p];
        if (!isBelieved(time, latest)) break;
      } else if (kind === IGNORE) {
        if (isQuoted) {
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
      } else {
        clock.at = p;
        const value = kind === DAY ? scanDay(clock, b) : scanClock(clock, b);
        if (Number.isNaN(value)) break;
        if (kind === DAY) day = value;
        else clockTime = value;
        p = clock.at;
        c = b[p];
        if (!Number.isNaN(day + clockTime)) {
          time = inUtc(clock, day + clockTime);
          if (!isBelieved(time, latest)) break;
        }
      }
      if (isQuoted) {
        if (c !== QUOTE) break;
        c = b[++p];
        if (isQuotedDecimal && kind !== IGNORE && notes.quotedDecimalLine === 0)
          notes.quotedDecimalLine = line;
      }
      while (c === SPACE) c = b[++p];
      if (field < last) {
        if (c !== delimiter) break;
        c = b[++p];
      }
    }
    if (field <= last || (c !== LF && c !== CR)) break;
    if (!(lat >= -89 && lat <= 89 && lon >= -180 && lon <= 180)) break;
    if (lat < 1e-6 && lat > -1e-6 && lon < 1e-6 && lon > -1e-6) break;
    if (!(depth <= maxDepth && depth >= leastDepth)) break;
    lats[row] = lat;
    lons[row] = lon;
    depths[row] = depth;
    times[row] = time;
    if (hasTime) clock.forms[clock.form]++;
    temperatures[row] = temperature;
    lines[row] = line++;
    row++;
    if (most > notes.decimals) notes.decimals = most;
    if (c === LF) lf++;
    else if (b[p + 1] === LF) {
      notes.crlf++;
      p++;
    } else notes.cr++;
    lineStart = p + 1;
  }
  rows.count = row;
  notes.line = line;
  notes.lf += lf;
  return lineStart;
}

const isBelieved = (time: number, latest: number): boolean =>
  isLogTime(time, latest) && (time < RESET_2000[0] || time >= RESET_2000[1]);

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
