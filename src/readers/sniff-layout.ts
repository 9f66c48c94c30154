import { type Diagnostic, Refusal } from '../../shared/diagnostics/diagnostic.ts';
import {
  ambiguousPosition,
  commaDecimalComma,
  dayNumbers,
  depthUnitUnknown,
  hemisphereSign,
  mapUnknown,
  noPositions,
  packedPositions,
  projectedRefused,
  scaledPositions,
  swappedPositions,
  twoColumns,
  verticalUnknown,
  zoneUnknown,
} from '../../shared/diagnostics/sounding-refusals.ts';
import {
  type At,
  depthUnitUsed,
  elevationAsDepth,
  extraColumns,
  headerLine,
  headerSkipped,
  noTimes,
  projectedNames,
  severalTimes,
  spacesDelimiter,
  temperatureUnit,
  unitsRow,
} from '../../shared/diagnostics/soundings.ts';
import type { LengthUnit } from '../../shared/units.ts';
import {
  type Column,
  isUnitWord,
  lengthUnitOf,
  plainName,
  type Role,
  temperatureUnitWord,
} from './column-names.ts';
import { applyMap, checkSingle, findHeader, isComment } from './find-header.ts';
import { type HeadLine, roughFields } from './head-lines.ts';
import { type ColumnPlaces, DEFAULT_SENTINELS, type Layout } from './layout.ts';
import { parseNumber } from './numbers.ts';
import { type ParsedPosition, parsePosition } from './positions.ts';
import type { ReaderOptions } from './reader-options.ts';
import { dateNumbers, parseTime } from './times.ts';
import { parseZone, UTC, type Zone } from './zones.ts';

/** What the first lines of a log tell. */
export interface Sniffed {
  readonly layout: Layout;
  /** Where the rows begin. */
  readonly offset: number;
  readonly line: number;
  /** Text of the header line, to know it again; undefined when columns come from the person. */
  readonly headerText: string | undefined;
  /** A date such as 01/02/2024 stands in the first rows and no option says its order. */
  readonly unknownDateOrder?: { readonly at: At; readonly text: string };
}

/** Rows looked at to tell decimal mark, sign of depths and form of positions. */
const SAMPLE_ROWS = 400;

/**
 * Layout of a log from its first lines and what the person says.
 *
 * @param say Takes what is to be said once of the log.
 * @throws Refusal when the log cannot be understood without being told more.
 */
export function sniffLayout(
  lines: readonly HeadLine[],
  options: ReaderOptions,
  file: string,
  say: (diagnostic: Diagnostic) => void,
): Sniffed {
  const header = findHeader(lines, options, file);
  const { delimiter } = header;
  const headLine = lines[header.index];
  const at = { file, line: headLine?.line ?? 1 };
  if (header.index > 0 && !/^.?"?sep=/i.test(lines[header.index - 1].text))
    say(headerLine(at, headLine.text.trim()));
  if (delimiter === ' ') say(spacesDelimiter(at));
  let start = header.index + 1;
  let columns = [...header.columns];
  if (header.index < 0) start = skipStatedHeader(lines, delimiter, file, say);
  const units = unitsOfRow(lines[start], delimiter, columns);
  if (units !== undefined) {
    columns = units;
    say(unitsRow({ file, line: lines[start].line }, lines[start].text.trim()));
    start++;
  }
  const sample = sampleRows(lines.slice(start), delimiter);
  const layout = buildLayout(columns, delimiter, sample, options, at, say);
  const begin = start > 0 ? lines[start - 1] : undefined;
  const unknown = layout.time.dateOrder === undefined ? ambiguousDate(sample, layout, file) : undefined;
  return {
    layout,
    offset: begin?.next ?? 0,
    line: (begin?.line ?? 0) + 1,
    headerText: headLine?.text.trim(),
    unknownDateOrder: unknown,
  };
}

/** Layout of a header in mid-file: as the first, with its own columns and units. */
export function relayout(names: readonly Column[], before: Layout, options: ReaderOptions, at: At): Layout {
  const columns = applyMap(names, options.map).map((column) => {
    const same = before.columns.find((other) => plainName(other.name) === plainName(column.name));
    return same !== undefined && column.unit === undefined
      ? { ...column, unit: same.unit, temperatureUnit: same.temperatureUnit }
      : column;
  });
  checkSingle(columns, at);
  const places = placeColumns(columns, options, at, () => {});
  const depth = columns[places.depth];
  const unit =
    depth.unit ??
    (depth.name === before.columns[before.at.depth].name ? before.depthUnit : asUnit(options.depthUnit));
  if (unit === undefined && places.unit < 0) throw new Refusal([depthUnitUnknown(at, depth.name)]);
  const temperature = places.temperature < 0 ? undefined : columns[places.temperature].temperatureUnit;
  return { ...before, columns, at: places, depthUnit: unit, temperatureUnit: temperature };
}

/** With --columns, a line of names before the rows is passed over. */
function skipStatedHeader(
  lines: readonly HeadLine[],
  delimiter: string,
  file: string,
  say: (d: Diagnostic) => void,
): number {
  for (let i = 0; i < lines.length; i++) {
    const { text, line } = lines[i];
    if (text.trim() === '' || isComment(text) || /^.?"?sep=/i.test(text)) continue;
    const fields = roughFields(text, delimiter).filter((field) => field !== '');
    if (fields.some((field) => /\d/.test(field))) return i;
    say(headerSkipped({ file, line }, text.trim()));
    return i + 1;
  }
  return lines.length;
}

/** Columns with the units of a row of units; undefined when the line is not one. */
function unitsOfRow(
  line: HeadLine | undefined,
  delimiter: string,
  columns: readonly Column[],
): Column[] | undefined {
  if (line === undefined) return undefined;
  const fields = roughFields(line.text, delimiter);
  const given = fields.filter((field) => field !== '');
  if (given.length === 0 || fields.length > columns.length || !given.every(isUnitWord)) return undefined;
  return columns.map((column, i) => {
    const field = fields[i] ?? '';
    if (column.role === 'temperature')
      return { ...column, temperatureUnit: temperatureUnitWord(field) ?? column.temperatureUnit };
    return { ...column, unit: lengthUnitOf(field) ?? column.unit };
  });
}

interface SampleRow {
  readonly fields: readonly string[];
  readonly line: number;
}

function sampleRows(lines: readonly HeadLine[], delimiter: string): SampleRow[] {
  const rows: SampleRow[] = [];
  for (const { text, line } of lines) {
    if (rows.length >= SAMPLE_ROWS) break;
    if (/^[\s,;|\t\0\uFFFDÿ]*$/.test(text) || isComment(text)) continue;
    rows.push({ fields: roughFields(text, delimiter), line });
  }
  return rows;
}

function buildLayout(
  named: readonly Column[],
  delimiter: string,
  sample: readonly SampleRow[],
  options: ReaderOptions,
  at: At,
  say: (d: Diagnostic) => void,
): Layout {
  checkFieldCounts(named.length, delimiter, sample, at);
  let columns = addTrailing(named, sample);
  columns = takeProjected(columns, sample, options, at, say);
  checkSingle(columns, at);
  const places = placeColumns(columns, options, at, say);
  const decimal = decimalMark(columns, places, delimiter, sample);
  const stated = options.positionFormat;
  const position = {
    decimal,
    packed: stated === 'packed-minutes',
    explicit: stated !== undefined,
    scale: options.positionScale ?? 1,
  };
  checkPositions(places, sample, position, at);
  const vertical = verticalOf(columns[places.depth], places.depth, sample, decimal, options, at, say);
  const depthUnit = depthUnitOf(columns[places.depth], places, sample, options, at, say);
  const temperature = places.temperature < 0 ? undefined : columns[places.temperature];
  if (temperature !== undefined && temperature.temperatureUnit === undefined)
    say(temperatureUnit(at, temperature.name));
  const time = {
    zone: zoneOf(options),
    dateOrder: options.dateOrder as 'dmy' | 'mdy' | 'ymd' | undefined,
    spreadsheetDays: options.excelDays,
  };
  if (places.time < 0 && places.date < 0) say(noTimes(at));
  else if (!options.excelDays) checkDayNumbers(places, sample, time, at);
  const unused = columns.filter(
    (column, i) => !Object.values(places).includes(i) && column.name !== '' && column.name !== '-',
  );
  if (unused.length > 0)
    say(
      extraColumns(
        at,
        unused.map((column) => column.name),
      ),
    );
  return {
    delimiter,
    decimal,
    columns,
    at: places,
    depthUnit,
    vertical,
    temperatureUnit: temperature?.temperatureUnit,
    position,
    time,
    channel: options.channel?.split('=')[1].trim(),
    datum: options.datum,
    sentinels: sentinelSet(options),
    zeroIsValid: options.zeroIsValid,
    maxDepth: options.maxDepth,
    latest: options.now === undefined ? 4_102_444_800 : options.now + 86400,
  };
}

/** "59,5,24,5,3,2": twice the fields, all of them short whole numbers. */
function checkFieldCounts(expected: number, delimiter: string, sample: readonly SampleRow[], at: At): void {
  if (delimiter !== ',' || sample.length === 0) return;
  const long = sample.filter(
    ({ fields }) =>
      fields.length > expected && fields.every((f, i) => f === '' || !f.includes('.') || i === 0),
  );
  if (long.length * 2 <= sample.length || long[0].fields.slice(expected).every((field) => field === ''))
    return;
  throw new Refusal([commaDecimalComma({ ...at, line: long[0].line }, long[0].fields.length, expected)]);
}

/** Many logs end each row, but not the header, with a delimiter. */
function addTrailing(columns: readonly Column[], sample: readonly SampleRow[]): Column[] {
  const trailing = sample.filter(
    ({ fields }) => fields.length === columns.length + 1 && fields.at(-1) === '',
  );
  const isUsual = sample.length > 0 && trailing.length * 2 > sample.length;
  return isUsual ? [...columns, { name: '', role: 'ignore' }] : [...columns];
}

/** `y,x` as latitude and longitude when both are there and every value fits. */
function takeProjected(
  columns: readonly Column[],
  sample: readonly SampleRow[],
  options: ReaderOptions,
  at: At,
  say: (d: Diagnostic) => void,
): Column[] {
  const has = (role: Role) => columns.some((column) => column.role === role);
  if ((has('lat') && has('lon')) || !has('x') || !has('y')) return [...columns];
  const x = columns.findIndex((column) => column.role === 'x');
  const y = columns.findIndex((column) => column.role === 'y');
  const fits = (column: number, limit: number) =>
    sample.every(({ fields }) => {
      const value = parseNumber((fields[column] ?? '').replace(',', '.'));
      return Number.isNaN(value) || Math.abs(value) <= limit;
    });
  if (!fits(x, 180) || !fits(y, 90))
    throw new Refusal([projectedRefused(at, [columns[x].name, columns[y].name])]);
  say(projectedNames(at));
  void options;
  return columns.map((column) =>
    column.role === 'x'
      ? { ...column, role: 'lon' }
      : column.role === 'y'
        ? { ...column, role: 'lat' }
        : column,
  );
}

function placeColumns(
  columns: readonly Column[],
  options: ReaderOptions,
  at: At,
  say: (d: Diagnostic) => void,
): ColumnPlaces {
  const find = (role: Role) => columns.findIndex((column) => column.role === role);
  const times = columns.filter((column) => column.role === 'time');
  if (times.length > 1)
    say(
      severalTimes(
        at,
        times[0].name,
        times.slice(1).map((column) => column.name),
      ),
    );
  const elevations = columns.filter((column) => column.role === 'elevation');
  const depth = find('depth');
  if (depth < 0 && elevations.length > 1)
    throw new Refusal([
      twoColumns(
        at,
        'depth',
        elevations.map((column) => column.name),
      ),
    ]);
  const lat = find('lat');
  const lon = find('lon');
  if ((lat < 0 || lon < 0) && options.fixes === undefined) throw new Refusal([noPositions(at)]);
  return {
    lat: lon < 0 ? -1 : lat,
    lon: lat < 0 ? -1 : lon,
    depth: depth >= 0 ? depth : find('elevation'),
    time: find('time'),
    date: find('date'),
    temperature: find('temperature'),
    unit: find('unit'),
    ns: find('ns'),
    ew: find('ew'),
    datum: find('datum'),
    channel: channelColumn(columns, options, at),
  };
}

function channelColumn(columns: readonly Column[], options: ReaderOptions, at: At): number {
  if (options.channel === undefined) return -1;
  const name = options.channel.split('=')[0].trim();
  const index = columns.findIndex((column) => plainName(column.name) === plainName(name));
  if (index < 0)
    throw new Refusal([
      mapUnknown(
        at,
        name,
        columns.map((column) => column.name),
      ),
    ]);
  return index;
}

/** The mark that most numbers of the sample use; a comma never where commas separate unquoted fields. */
function decimalMark(
  columns: readonly Column[],
  places: ColumnPlaces,
  delimiter: string,
  sample: readonly SampleRow[],
): '.' | ',' {
  void columns;
  let points = 0;
  let commas = 0;
  for (const { fields } of sample) {
    for (const column of [places.lat, places.lon, places.depth]) {
      const text = fields[column] ?? '';
      if (/^[+-]?\d*\.\d+\D*$/.test(text)) points++;
      if (/^[+-]?\d*,\d+\D*$/.test(text)) commas++;
    }
  }
  void delimiter;
  return commas > points ? ',' : '.';
}

function checkPositions(
  places: ColumnPlaces,
  sample: readonly SampleRow[],
  rules: Layout['position'],
  at: At,
): void {
  if (places.lat < 0 || sample.length === 0) return;
  let swapped = 0;
  let usable = 0;
  const refusals = new Map<string, number>();
  // What more than half of the first rows show is the form of the log; a single row is damage, and dropped.
  const suspect = (diagnostic: Diagnostic) => {
    const found = (refusals.get(diagnostic.code) ?? 0) + 1;
    refusals.set(diagnostic.code, found);
    if (found * 2 > sample.length) throw new Refusal([diagnostic]);
  };
  for (const { fields, line } of sample) {
    const here = { ...at, line };
    const texts = [fields[places.lat] ?? '', fields[places.lon] ?? ''];
    const letters = [fields[places.ns] || undefined, fields[places.ew] || undefined];
    const lat = parsePosition(texts[0], 'lat', rules, letters[0]);
    const lon = parsePosition(texts[1], 'lon', rules, letters[1]);
    const odd = [lat, lon].findIndex((value) => FORMS_REFUSED.has(value) || isScaled(value));
    if (odd >= 0) suspect(refusedForm([lat, lon][odd], texts[odd], letters[odd], here));
    if (typeof lat !== 'number' || typeof lon !== 'number') continue;
    usable++;
    if (Math.abs(lat) > 90 && Math.abs(lat) <= 180 && Math.abs(lon) <= 90) swapped++;
  }
  if (usable > 0 && swapped === usable)
    throw new Refusal([swappedPositions({ ...at, line: sample[0].line })]);
}

const FORMS_REFUSED: ReadonlySet<unknown> = new Set(['hemisphere-sign', 'packed-ambiguous', 'looks-packed']);

const isScaled = (value: ParsedPosition): boolean =>
  typeof value === 'number' && Math.abs(value) > 100_000 && Number.isInteger(value);

function refusedForm(form: ParsedPosition, text: string, letter: string | undefined, at: At): Diagnostic {
  if (form === 'hemisphere-sign') return hemisphereSign(at, `${text} ${letter ?? ''}`.trim());
  if (form === 'packed-ambiguous') return ambiguousPosition(at, text);
  return form === 'looks-packed' ? packedPositions(at, text) : scaledPositions(at, text);
}

/** Sign of the depth column: stated, plain for depths, from the sample for elevations. */
function verticalOf(
  column: Column,
  place: number,
  sample: readonly SampleRow[],
  decimal: '.' | ',',
  options: ReaderOptions,
  at: At,
  say: (d: Diagnostic) => void,
): 'down' | 'up' {
  if (options.vertical !== undefined) return options.vertical as 'down' | 'up';
  if (column.role !== 'elevation' && !/^(?:z|elev)/i.test(column.name)) return 'down';
  const values = sample
    .map(({ fields }) => parseNumber(/^(\S*?)\s*[A-Za-z]*$/.exec(fields[place] ?? '')?.[1] ?? '', decimal))
    .filter((value) => value !== 0 && !Number.isNaN(value));
  if (values.length === 0) return 'up';
  const share = values.filter((value) => value < 0).length / values.length;
  if (share <= 0.95) throw new Refusal([verticalUnknown(at, column.name, share)]);
  say(elevationAsDepth(at, column.name, share));
  return 'up';
}

const asUnit = (unit: string | undefined): LengthUnit | undefined => unit as LengthUnit | undefined;

/** Unit of plain depths; undefined when every row says its own. @throws Refusal when nothing says it. */
function depthUnitOf(
  column: Column,
  places: ColumnPlaces,
  sample: readonly SampleRow[],
  options: ReaderOptions,
  at: At,
  say: (d: Diagnostic) => void,
): LengthUnit | undefined {
  if (places.unit >= 0) return undefined;
  if (column.unit !== undefined) {
    say(depthUnitUsed(at, column.unit, `from the name of column "${column.name}" or its unit row`));
    return column.unit;
  }
  const stated = asUnit(options.depthUnit);
  if (stated !== undefined) {
    say(depthUnitUsed(at, stated, '--depth-unit'));
    return stated;
  }
  const withSuffix = sample.filter(({ fields }) => /[\d.]\s*[A-Za-z]+\.?$/.test(fields[places.depth] ?? ''));
  if (withSuffix.length * 2 > sample.length) return undefined;
  // A log without rows needs no unit.
  if (sample.length === 0) return undefined;
  throw new Refusal([depthUnitUnknown(at, column.name)]);
}

function zoneOf(options: ReaderOptions): Zone {
  if (options.tz === undefined) return UTC;
  const zone = parseZone(options.tz);
  if (zone === undefined) throw new Refusal([zoneUnknown(options.tz)], 2);
  return zone;
}

const timeText = (fields: readonly string[], places: ColumnPlaces): string =>
  [fields[places.date] ?? '', fields[places.time] ?? ''].filter((part) => part !== '').join(' ');

function checkDayNumbers(
  places: ColumnPlaces,
  sample: readonly SampleRow[],
  rules: Layout['time'],
  at: At,
): void {
  let found = 0;
  for (const { fields, line } of sample) {
    const text = timeText(fields, places);
    const time = parseTime(text, rules);
    if (!('fault' in time) || time.fault !== 'day-number') continue;
    if (++found * 2 > sample.length) throw new Refusal([dayNumbers({ ...at, line }, text)]);
  }
}

/** First date of the sample whose order of day and month is not known. */
function ambiguousDate(
  sample: readonly SampleRow[],
  layout: Layout,
  file: string,
): { at: At; text: string } | undefined {
  const { at: places } = layout;
  if (places.time < 0 && places.date < 0) return undefined;
  for (const { fields, line } of sample) {
    const text = timeText(fields, places);
    if (dateNumbers(text) !== undefined) return { at: { file, line }, text };
  }
  return undefined;
}

function sentinelSet(options: ReaderOptions): ReadonlySet<number> {
  const own = options.sentinels.map((text) => parseNumber(text)).filter((value) => !Number.isNaN(value));
  return new Set([...DEFAULT_SENTINELS, ...own]);
}
