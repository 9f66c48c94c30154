import { type Diagnostic, type LengthUnit, Refusal, toMeters } from '../../../shared/contract/index.ts';
import {
  type At,
  type Axis,
  decimalsOf,
  foreignForm,
  lengthUnitOf,
  parseNumber,
  parsePosition,
  parseTime,
  plainMinus,
  refusalMessages as refusals,
  soundingMessages as says,
  type TimeForm,
} from '../../../shared/text/index.ts';
import { depthFault } from './depth-faults.ts';
import { isLogTime, type Layout, RESET_2000 } from './layout.ts';
import type { RowColumns, ScanNotes } from './row-columns.ts';
import type { Tally } from './tally.ts';

interface RowTarget {
  readonly layout: Layout;
  readonly rows: RowColumns;
  readonly notes: ScanNotes;
  readonly tally: Tally;
}

interface RowReading extends RowTarget {
  readonly at: At;
  /** Returns the trimmed text of a field; empty for column -1. */
  cell(column: number): string;
  /** Maximum number of decimals in latitude and longitude; a value not in plain degrees counts as 7. */
  decimals: number;
  timeForm?: TimeForm;
}

/** The form in which most logs write depths: a plain decimal number. */
const ORDINARY = /^-?\d{1,6}(?:\.\d{1,9})?$/;

/** Texts that mean "no value" in many kinds of logs; common practice, no source. */
const NO_VALUE =
  /^(?:|-+|nan|null|none|n\/?a|nil|inf(?:inity)?|[+-]inf(?:inity)?|\*+|#+|\?+|no fix|invalid|void)$/i;

function isNoValue(text: string): boolean {
  const first = text.charCodeAt(0);
  return !(first >= 48 && first <= 57) && NO_VALUE.test(text);
}

/** A number with a positive exponent of three digits or more, too large for any depth. */
const WORTHLESS = /^[+-]?\d+(?:\.\d*)?[eE]\+?\d{3,}$/;

/** Words that mark a row as unusable. In NMEA 0183, the status V means void. */
const NO = /^(?:v|void|invalid|bad|lost|no[ _-]?fix|false|f|no|n)$/i;

/**
 * Returns whether a cell marks its row as unusable. In a status column only words count, because the meaning
 * of numbers differs between devices.
 */
function saysInvalid(column: string, text: string): boolean {
  if (/status/i.test(column)) return NO.test(text);
  const isNo = NO.test(text) || /^0+(?:\.0*)?$/.test(text);
  const isReversed = /invalid|void/i.test(column);
  return isReversed ? /^(?:1|true|t|yes|y)$/i.test(text) : isNo;
}

/**
 * Reads the fields of a line and stores them as a row.
 *
 * @returns Why the row is dropped; undefined when it is stored.
 * @throws Refusal for a horizontal datum that is neither WGS 84 nor named by `--datum`.
 */
export function readRow(
  fields: readonly string[],
  target: RowTarget,
  at: At & { readonly line: number },
): Diagnostic | undefined {
  const { layout, rows, notes, tally } = target;
  const cell = (column: number): string => (column < 0 ? '' : fields[column].trim());
  const { channel, datum, temperature } = layout.at;
  if (channel >= 0 && cell(channel) !== layout.channel) {
    return says.channel(at, `${layout.columns[channel].name}=${layout.channel}`);
  }
  for (const column of layout.validity) {
    const { name } = layout.columns[column];
    if (saysInvalid(name, fields[column]?.trim() ?? '')) return says['marked-invalid'](at, name);
  }
  if (datum >= 0) checkDatum(cell(datum), layout, at);
  const row = rows.count;
  rows.lat[row] = Number.NaN;
  rows.lon[row] = Number.NaN;
  rows.time[row] = Number.NaN;
  const reading: RowReading = { layout, rows, notes, tally, at, cell, decimals: 0 };
  const fault = readPosition(reading) ?? readDepth(reading) ?? readTime(reading);
  if (fault !== undefined) return fault;
  rows.temperature[row] = readTemperature(cell(temperature), layout);
  rows.line[row] = at.line;
  rows.count++;
  notes.decimals = Math.max(notes.decimals, reading.decimals);
  if (reading.timeForm !== undefined) notes.forms[reading.timeForm]++;
  return undefined;
}

/** Returns the first control byte of a line other than tab and line break; undefined when there is none. */
export function controlByte(text: string): number | undefined {
  const match = /[\0-\x08\x0b\x0c\x0e-\x1f\x7f]/.exec(text);
  return match === null ? undefined : match[0].charCodeAt(0);
}

function readPosition(reading: RowReading): Diagnostic | undefined {
  const { layout, at, tally, rows, cell } = reading;
  if (layout.at.lat < 0) return undefined;
  const lat = readAxis('lat', cell(layout.at.ns), reading);
  if (typeof lat !== 'number') return lat;
  const lon = readAxis('lon', cell(layout.at.ew), reading);
  if (typeof lon !== 'number') return lon;
  if (Math.abs(lat) < 1e-6 && Math.abs(lon) < 1e-6) return says['no-fix'](at);
  if (Math.abs(lat) > 89) tally.flag(says.pole(at));
  if (lon > 180) tally.flag(says['longitude-wrapped'](at, cell(layout.at.lon)));
  rows.lat[rows.count] = lat;
  rows.lon[rows.count] = lon > 180 ? lon - 360 : lon;
  return undefined;
}

function readAxis(axis: Axis, hemisphere: string, reading: RowReading): number | Diagnostic {
  const { layout, at, tally } = reading;
  const raw = reading.cell(layout.at[axis]);
  const ordinary = ordinaryDegrees(raw, hemisphere, axis, layout);
  if (!Number.isNaN(ordinary)) {
    reading.decimals = Math.max(reading.decimals, raw.length - raw.indexOf('.') - 1);
    return ordinary;
  }
  const column = layout.columns[layout.at[axis]].name;
  if (isNoValue(raw)) return says['no-position'](at, raw);
  const { text, changed } = plainMinus(raw);
  const numeric = parseNumber(text, layout.decimal);
  if (layout.sentinels.has(numeric) && Math.abs(numeric) > 1) return says['no-position'](at, raw);
  const letter = hemisphereLetter(hemisphere, axis);
  if (letter === undefined && hemisphere !== '') return says.hemisphere(at, hemisphere, LETTERS[axis]);
  const foreign = foreignForm(text, layout.decimal);
  if (foreign !== undefined) return says[foreign](at, column, text, layout.decimal);
  const value = parsePosition(text, axis, layout.position, letter);
  if (typeof value !== 'number') return positionFault(value, raw, axis, column, at);
  const limit = axis === 'lat' ? 90 : 180;
  if (!(value >= -limit && value <= (axis === 'lat' ? 90 : 360)))
    return says['position-range'](at, axis, raw);
  if (changed) tally.flag(says['minus-sign'](at, raw));
  const isFine = Number.isNaN(numeric) || layout.position.packed || layout.position.scale !== 1;
  const decimals = isFine ? 7 : decimalsOf(text, layout.decimal);
  reading.decimals = Math.max(reading.decimals, decimals);
  if (decimals < 4 && /e/i.test(text)) tally.flag(says['coarse-position'](at, text));
  return value;
}

const LETTERS = { lat: 'N or S', lon: 'E or W' } as const;

/** Reads plain degrees with 4 to 9 decimals, as most logs have; NaN for text that needs `parsePosition`. */
function ordinaryDegrees(raw: string, hemisphere: string, axis: Axis, layout: Layout): number {
  if (layout.position.packed || layout.position.scale !== 1 || !/^-?\d{1,3}\.\d{4,9}$/.test(raw))
    return Number.NaN;
  const value = parseNumber(raw);
  if (Math.abs(value) > (axis === 'lat' ? 90 : 180) || layout.sentinels.has(value)) return Number.NaN;
  if (hemisphere === '') return value;
  if (raw.startsWith('-')) return Number.NaN;
  if (hemisphere === (axis === 'lat' ? 'N' : 'E')) return value;
  return hemisphere === (axis === 'lat' ? 'S' : 'W') ? -value : Number.NaN;
}

function positionFault(
  fault: Exclude<ReturnType<typeof parsePosition>, number>,
  raw: string,
  axis: Axis,
  column: string,
  at: At,
): Diagnostic {
  if (fault === 'minutes') return says.minutes(at, column, raw);
  if (fault === 'hemisphere-axis') return says.hemisphere(at, raw, LETTERS[axis]);
  if (fault === 'hemisphere-sign') return says['hemisphere sign'](at, raw);
  // The first rows decide the form of positions, so a later row in another form is damaged.
  if (fault === 'packed-ambiguous' || fault === 'looks-packed')
    return says['position-range form'](at, axis, raw);
  return says.number(at, column, raw);
}

function hemisphereLetter(text: string, axis: Axis): string | undefined {
  const letters = axis === 'lat' ? /^(?:n|s|north|south)$/i : /^(?:e|w|east|west)$/i;
  return letters.test(text) ? text[0].toUpperCase() : undefined;
}

function readDepth(reading: RowReading): Diagnostic | undefined {
  const { layout, at, tally, cell } = reading;
  const raw = cell(layout.at.depth);
  const hasUnitColumn = layout.at.unit >= 0;
  if (layout.depthUnit !== undefined && !hasUnitColumn && layout.decimal === '.' && ORDINARY.test(raw))
    return storeDepth(parseNumber(raw), layout.depthUnit, raw, reading);
  const { name: column, unit: columnUnit } = layout.columns[layout.at.depth];
  if (WORTHLESS.test(raw)) return says['depth-range'](at, raw, layout.maxDepth);
  if (isNoValue(raw)) return says['no-depth'](at, raw);
  const foreign = foreignForm(raw, layout.decimal);
  if (foreign !== undefined) return says[foreign](at, column, raw, layout.decimal);
  const { text, changed } = plainMinus(raw);
  let unit = layout.depthUnit;
  let value = parseNumber(text, layout.decimal);
  const split = Number.isNaN(value) ? /^(.*?[\d.,])\s*([A-Za-z]+\.?)$/.exec(text) : null;
  if (split !== null) value = parseNumber(split[1], layout.decimal);
  if (Number.isNaN(value)) return says.number(at, column, raw);
  if (split !== null) {
    unit = lengthUnitOf(split[2]);
    if (unit === undefined) return says.unit(at, split[2]);
    // A suffix that contradicts the unit named by the column is damage ("12ft" in depth_m).
    if (columnUnit !== undefined && unit !== layout.depthUnit) return says['number unit'](at, column, raw);
  }
  if (hasUnitColumn) {
    const written = cell(layout.at.unit);
    unit = lengthUnitOf(written);
    if (unit === undefined) return written === '' ? says['unit missing'](at, raw) : says.unit(at, written);
  }
  const fault = storeDepth(value, unit, raw, reading);
  if (fault === undefined && changed) tally.flag(says['minus-sign'](at, raw));
  return fault;
}

function storeDepth(
  value: number,
  unit: LengthUnit | undefined,
  raw: string,
  { layout, at, rows }: RowReading,
): Diagnostic | undefined {
  if (layout.sentinels.has(value)) return says['no-depth'](at, raw);
  if (unit === undefined) return says['unit missing'](at, raw);
  const depth = toMeters(layout.vertical === 'up' ? -value : value, unit);
  rows.depth[rows.count] = depth + 0;
  return depthFault(depth, raw, at, layout);
}

function readTime(reading: RowReading): Diagnostic | undefined {
  const { layout, at, tally, rows, cell } = reading;
  const place = layout.at;
  if (place.time < 0 && place.date < 0) return undefined;
  const raw = `${cell(place.date)} ${cell(place.time)}`.trim();
  // A log without positions is placed on tracks by time, so its rows need times.
  const without = (fault: Diagnostic): Diagnostic | undefined =>
    place.lat < 0 ? says['no-time'](at) : void tally.flag(fault);
  if (isNoValue(raw)) return without(says['time-invalid'](at, raw));
  let time = parseTime(raw, layout.time);
  // If the time column also holds dates, the date column is not needed.
  if ('fault' in time && place.date >= 0 && place.time >= 0) {
    const alone = parseTime(cell(place.time), layout.time);
    if (!('fault' in alone) && alone.form !== 'time-of-day') time = alone;
  }
  if ('fault' in time) return without(says['time-invalid'](at, raw));
  const { seconds, form, ambiguity } = time;
  if (form !== 'time-of-day') {
    if (!isLogTime(seconds, layout.latest)) return without(says['time-year'](at, raw));
    if (seconds >= RESET_2000[0] && seconds < RESET_2000[1]) return without(says['time-reset'](at, raw));
  }
  if (ambiguity === 'fold') tally.flag(says['time-fold'](at, raw, layout.time.zone.name));
  if (ambiguity === 'gap') tally.flag(says['time-gap'](at, raw, layout.time.zone.name));
  rows.time[rows.count] = seconds;
  reading.timeForm = form;
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
  throw new Refusal([refusals.datum(at, text)]);
}
