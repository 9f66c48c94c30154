import { type Diagnostic, type LengthUnit, Refusal, toMeters } from '../../../shared/contract/index.ts';
import {
  type At,
  type Axis,
  datumUnknown,
  decimalsOf,
  foreignForm,
  lengthUnitOf,
  parseNumber,
  parsePosition,
  parseTime,
  plainMinus,
  soundings as says,
  type TimeForm,
} from '../../../shared/text/index.ts';
import { depthFault } from './depth-faults.ts';
import { EARLIEST_TIME, type Layout, RESET_2000 } from './layout.ts';
import type { Tally } from './tally.ts';

/** One row as understood. */
export interface Row {
  lat: number;
  lon: number;
  /** m, positive down. */
  depth: number;
  /** Seconds since 1970, or since midnight for a time of day; NaN for none. */
  time: number;
  /** deg C; NaN when absent. */
  temperature: number;
  /** Most decimals in the positions as written. */
  decimals: number;
  timeForm?: TimeForm;
}

/** The ordinary form of a number, which fits most values. */
const ORDINARY = /^-?\d{1,6}(?:\.\d{1,9})?$/;

/** Texts that mean "no value" in many kinds of logs. */
const NO_VALUE =
  /^(?:|-+|nan|null|none|n\/?a|nil|inf(?:inity)?|[+-]inf(?:inity)?|\*+|#+|\?+|no fix|invalid|void)$/i;

/** True for a text that means "no value". Most values begin with a digit and need no pattern match. */
function isNoValue(text: string): boolean {
  const first = text.charCodeAt(0);
  return !(first >= 48 && first <= 57) && NO_VALUE.test(text);
}

const MINUS = 45;

/** A number with an exponent so large that it cannot be a reading. */
const WORTHLESS = /^[+-]?\d+(?:\.\d*)?[eE]\+?\d{3,}$/;

/** Words that mean no, and status letters of NMEA 0183 (V is void). */
const NO = /^(?:v|void|invalid|bad|lost|no[ _-]?fix|false|f|no|n)$/i;

/**
 * Whether a cell says that its row must not be used. Numbers count only in a validity column, because every maker
 * defines the 0 of a status column differently.
 */
function saysInvalid(column: string, text: string): boolean {
  if (/status/i.test(column)) return NO.test(text);
  const isNo = NO.test(text) || /^0+(?:\.0*)?$/.test(text);
  const isReversed = /invalid|void/i.test(column);
  return isReversed ? /^(?:1|true|t|yes|y)$/i.test(text) : isNo;
}

/**
 * One row from the fields of its line, by the same rules for every log.
 *
 * @returns The row, or the diagnostic of why it is dropped.
 * @throws Refusal where a value shows that the layout of the log is wrong.
 */
export function readRow(fields: readonly string[], layout: Layout, at: At, tally: Tally): Row | Diagnostic {
  const { at: place } = layout;
  const cell = (column: number): string => (column < 0 ? '' : fields[column].trim());
  if (place.channel >= 0 && cell(place.channel) !== layout.channel) {
    return says.channelDropped(at, `${layout.columns[place.channel].name}=${layout.channel}`);
  }
  for (const column of layout.validity) {
    const { name } = layout.columns[column];
    if (saysInvalid(name, fields[column]?.trim() ?? '')) return says.invalidDropped(at, name);
  }
  if (place.datum >= 0) checkDatum(cell(place.datum), layout, at);
  const row: Row = {
    lat: Number.NaN,
    lon: Number.NaN,
    depth: Number.NaN,
    time: Number.NaN,
    temperature: Number.NaN,
    decimals: 0,
  };
  const fault =
    readPosition(cell, layout, at, tally, row) ??
    readDepth(cell, layout, at, tally, row) ??
    readTime(cell, layout, at, tally, row);
  if (fault !== undefined) return fault;
  row.temperature = readTemperature(cell(place.temperature), layout);
  return row;
}

export const isDiagnostic = (value: Row | Diagnostic): value is Diagnostic => 'code' in value;

/** First control byte of a line other than tab and line break; undefined when there is none. */
export function controlByte(text: string): number | undefined {
  const match = /[\0-\x08\x0b\x0c\x0e-\x1f\x7f]/.exec(text);
  return match === null ? undefined : match[0].charCodeAt(0);
}

type Cell = (column: number) => string;

function readPosition(cell: Cell, layout: Layout, at: At, tally: Tally, row: Row): Diagnostic | undefined {
  const { at: place } = layout;
  if (place.lat < 0) return undefined;
  const lat = readAxis(cell(place.lat), cell(place.ns), 'lat', layout, at, tally, row);
  if (typeof lat !== 'number') return lat;
  const lon = readAxis(cell(place.lon), cell(place.ew), 'lon', layout, at, tally, row);
  if (typeof lon !== 'number') return lon;
  if (Math.abs(lat) < 1e-6 && Math.abs(lon) < 1e-6) return says.noFixDropped(at);
  row.lat = lat;
  row.lon = lon;
  if (Math.abs(lat) > 89) tally.flag(says.nearPole(at));
  if (lon > 180) {
    tally.flag(says.longitudeWrapped(at, cell(place.lon)));
    row.lon = lon - 360;
  }
  return undefined;
}

function readAxis(
  raw: string,
  hemisphere: string,
  axis: Axis,
  layout: Layout,
  at: At,
  tally: Tally,
  row: Row,
): number | Diagnostic {
  const ordinary = ordinaryDegrees(raw, hemisphere, axis, layout);
  if (!Number.isNaN(ordinary)) {
    row.decimals = Math.max(row.decimals, raw.length - raw.indexOf('.') - 1);
    return ordinary;
  }
  const column = layout.columns[layout.at[axis]].name;
  if (isNoValue(raw)) return says.noPositionDropped(at, raw);
  const { text, changed } = plainMinus(raw);
  const numeric = parseNumber(text, layout.decimal);
  if (layout.sentinels.has(numeric) && Math.abs(numeric) > 1) return says.noPositionDropped(at, raw);
  const letter = hemisphereLetter(hemisphere, axis);
  if (letter === undefined && hemisphere !== '') {
    return says.hemisphereDropped(at, hemisphere, axis === 'lat' ? 'N or S' : 'E or W');
  }
  const foreign = foreignForm(text, layout.decimal);
  if (foreign !== undefined) return FOREIGN[foreign](at, column, text, layout.decimal);
  const value = parsePosition(text, axis, layout.position, letter);
  if (typeof value !== 'number') return positionFault(value, raw, axis, column, at);
  const limit = axis === 'lat' ? 90 : 180;
  if (!(value >= -limit && value <= (axis === 'lat' ? 90 : 360))) return says.rangeDropped(at, axis, raw);
  if (changed) tally.flag(says.minusSign(at, raw));
  noteDecimals(text, numeric, layout, at, tally, row);
  return value;
}

/** Degrees in plain decimal form, with or without a hemisphere column; NaN for any other form. */
function ordinaryDegrees(raw: string, hemisphere: string, axis: Axis, layout: Layout): number {
  if (layout.position.packed || layout.position.scale !== 1 || !/^-?\d{1,3}\.\d{4,9}$/.test(raw))
    return Number.NaN;
  const value = parseNumber(raw);
  if (Math.abs(value) > (axis === 'lat' ? 90 : 180) || layout.sentinels.has(value)) return Number.NaN;
  if (hemisphere === '') return value;
  if (raw.charCodeAt(0) === MINUS) return Number.NaN;
  if (hemisphere === (axis === 'lat' ? 'N' : 'E')) return value;
  return hemisphere === (axis === 'lat' ? 'S' : 'W') ? -value : Number.NaN;
}

/** Notes the decimals of a degree as written. Forms finer than decimal degrees count as full precision. */
function noteDecimals(text: string, numeric: number, layout: Layout, at: At, tally: Tally, row: Row): void {
  if (Number.isNaN(numeric) || layout.position.packed || layout.position.scale !== 1) {
    row.decimals = 7;
    return;
  }
  const decimals = decimalsOf(text, layout.decimal);
  row.decimals = Math.max(row.decimals, decimals);
  if (/e/i.test(text) && decimals < 4) tally.flag(says.coarsePosition(at, text));
}

function positionFault(
  fault: Exclude<ReturnType<typeof parsePosition>, number>,
  raw: string,
  axis: Axis,
  column: string,
  at: At,
): Diagnostic {
  if (fault === 'minutes') return says.minutesDropped(at, column, raw);
  if (fault === 'hemisphere-axis')
    return says.hemisphereDropped(at, raw, axis === 'lat' ? 'N or S' : 'E or W');
  if (fault === 'hemisphere-sign')
    return says.hemisphereDropped(at, raw, 'a letter or a minus sign, not both');
  // The first rows decide the form of positions, so a later row in another form is damaged.
  if (fault === 'packed-ambiguous' || fault === 'looks-packed') return says.rangeDropped(at, axis, raw);
  return says.numberDropped(at, column, raw);
}

function hemisphereLetter(text: string, axis: Axis): string | undefined {
  const letters = axis === 'lat' ? /^(?:n|s|north|south)$/i : /^(?:e|w|east|west)$/i;
  return letters.test(text) ? text[0].toUpperCase() : undefined;
}

function readDepth(cell: Cell, layout: Layout, at: At, tally: Tally, row: Row): Diagnostic | undefined {
  const { at: place } = layout;
  const raw = cell(place.depth);
  if (layout.depthUnit !== undefined && place.unit < 0 && layout.decimal === '.' && ORDINARY.test(raw)) {
    const value = parseNumber(raw);
    return layout.sentinels.has(value)
      ? says.noDepthDropped(at, raw)
      : storeDepth(value, layout.depthUnit, raw, layout, at, row);
  }
  const column = layout.columns[place.depth].name;
  if (isNoValue(raw) || WORTHLESS.test(raw))
    return WORTHLESS.test(raw)
      ? says.depthRangeDropped(at, raw, layout.maxDepth)
      : says.noDepthDropped(at, raw);
  const foreign = foreignForm(raw, layout.decimal);
  if (foreign !== undefined) return FOREIGN[foreign](at, column, raw, layout.decimal);
  const { text, changed } = plainMinus(raw);
  const split = /^(.*?[\d.,])\s*([A-Za-z]+\.?)$/.exec(text);
  let unit = layout.depthUnit;
  let value = parseNumber(text, layout.decimal);
  if (Number.isNaN(value) && split !== null) {
    value = parseNumber(split[1], layout.decimal);
    if (Number.isNaN(value)) return says.numberDropped(at, column, raw);
    const rowUnit = lengthUnitOf(split[2]);
    // A suffix that contradicts the unit named by the column is damage ("12ft" in depth_m).
    if (rowUnit === undefined) return says.unitDropped(at, split[2]);
    if (layout.columns[place.depth].unit !== undefined && rowUnit !== layout.depthUnit)
      return says.numberDropped(at, column, raw);
    unit = rowUnit;
  }
  if (Number.isNaN(value)) return says.numberDropped(at, column, raw);
  if (place.unit >= 0) {
    const rowUnit = lengthUnitOf(cell(place.unit));
    if (rowUnit === undefined) return says.unitDropped(at, cell(place.unit));
    unit = rowUnit;
  }
  if (layout.sentinels.has(value)) return says.noDepthDropped(at, raw);
  if (unit === undefined) return says.unitDropped(at, raw);
  const fault = storeDepth(value, unit, raw, layout, at, row);
  if (fault === undefined && changed) tally.flag(says.minusSign(at, raw));
  return fault;
}

function storeDepth(
  value: number,
  unit: LengthUnit,
  raw: string,
  layout: Layout,
  at: At,
  row: Row,
): Diagnostic | undefined {
  const depth = toMeters(layout.vertical === 'up' ? -value : value, unit);
  const fault = depthFault(depth, raw, at, layout);
  if (fault === undefined) row.depth = depth + 0;
  return fault;
}

const FOREIGN = {
  spreadsheet: says.spreadsheetDropped,
  'other-digits': says.digitsDropped,
  grouped: says.groupedDropped,
  'other-mark': says.decimalDropped,
} as const;

function readTime(cell: Cell, layout: Layout, at: At, tally: Tally, row: Row): Diagnostic | undefined {
  const { at: place } = layout;
  if (place.time < 0 && place.date < 0) return undefined;
  const raw =
    place.date < 0
      ? cell(place.time)
      : place.time < 0
        ? cell(place.date)
        : `${cell(place.date)} ${cell(place.time)}`.trim();
  const needed = place.lat < 0;
  if (isNoValue(raw)) {
    if (needed) return says.noTimeDropped(at);
    tally.flag(says.timeInvalid(at, raw));
    return undefined;
  }
  let time = parseTime(raw, layout.time);
  // A time column that also holds dates makes the date column unnecessary.
  if ('fault' in time && place.date >= 0 && place.time >= 0) {
    const alone = parseTime(cell(place.time), layout.time);
    if (!('fault' in alone) && alone.form !== 'time-of-day') time = alone;
  }
  if ('fault' in time) {
    if (needed) return says.noTimeDropped(at);
    tally.flag(says.timeInvalid(at, raw));
    return undefined;
  }
  const fault = timeFault(time.seconds, time.form, raw, layout, at);
  if (fault !== undefined) {
    if (needed) return says.noTimeDropped(at);
    tally.flag(fault);
    return undefined;
  }
  if (time.ambiguity === 'fold') tally.flag(says.timeFold(at, raw, layout.time.zone.name));
  if (time.ambiguity === 'gap') tally.flag(says.timeGap(at, raw, layout.time.zone.name));
  row.time = time.seconds;
  row.timeForm = time.form;
  return undefined;
}

function timeFault(
  seconds: number,
  form: TimeForm,
  raw: string,
  layout: Layout,
  at: At,
): Diagnostic | undefined {
  if (form === 'time-of-day') return undefined;
  if (seconds < EARLIEST_TIME || seconds > layout.latest) return says.timeYear(at, raw);
  if (seconds >= RESET_2000[0] && seconds < RESET_2000[1]) return says.timeReset(at, raw);
  return undefined;
}

function readTemperature(text: string, layout: Layout): number {
  if (layout.temperatureUnit === undefined) return Number.NaN;
  const value = parseNumber(text, layout.decimal);
  return layout.temperatureUnit === 'F' ? (value - 32) / 1.8 : value;
}

function checkDatum(text: string, layout: Layout, at: At): void {
  const plain = text.toLowerCase().replace(/[^a-z0-9]/g, '');
  if (['', 'wgs84', 'w84', 'wgs', 'wgs1984', 'epsg4326', '4326', 'worldgeodeticsystem1984'].includes(plain))
    return;
  if (layout.datum !== undefined && layout.datum.toLowerCase() === text.toLowerCase()) return;
  throw new Refusal([datumUnknown(at, text)]);
}
