import { type DepthReference, type Diagnostic, Refusal } from '../../../shared/contract/index.ts';
import {
  type At,
  dateNumbers,
  depthUnitUnknown,
  extraColumns,
  headerLine,
  headerSkipped,
  lengthUnitOf,
  mapUnknown,
  noPositions,
  noTimes,
  parseNumber,
  parseZone,
  projectedNames,
  projectedRefused,
  severalDepths,
  severalTimes,
  spacesDelimiter,
  type TimeZone,
  temperatureUnit,
  twoColumns,
  UTC,
  unitsRow,
  zoneUnknown,
} from '../../../shared/text/index.ts';
import { type Column, isUnitWord, plainColumnName, type Role, temperatureUnitWord } from './column-names.ts';
import { applyMap, checkSingle, findHeader, isComment } from './find-header.ts';
import { type HeadLine, roughFields } from './head-lines.ts';
import { type ColumnPlaces, DEFAULT_SENTINELS, type Layout } from './layout.ts';
import type { ReaderOptions } from './reader-options.ts';
import {
  asUnit,
  checkDayNumbers,
  checkFieldCounts,
  checkPositions,
  decimalMark,
  depthUnitOf,
  type SampleRow,
  sampleRows,
  timeText,
  verticalOf,
} from './sample-checks.ts';

/** What the first lines of a log show. */
export interface Sniffed {
  readonly layout: Layout;
  /** Where the rows begin. */
  readonly offset: number;
  readonly line: number;
  /** Text of the header line, to recognize a repeat; undefined when the user named the columns. */
  readonly headerText: string | undefined;
  /** The first rows hold a date such as 01/02/2024 and no option gives its order. */
  readonly unknownDateOrder?: { readonly at: At; readonly text: string };
}

/**
 * Layout of a log from its first lines and the user's options.
 *
 * @param say Receives each message that is given once per log.
 * @throws Refusal when the user has to say more about the log.
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

/** Layout for a header in the middle of a file: the first layout with new columns and units. */
export function relayout(names: readonly Column[], before: Layout, options: ReaderOptions, at: At): Layout {
  const known = applyMap(names, options.map).map((column) => {
    const same = before.columns.find((other) => plainColumnName(other.name) === plainColumnName(column.name));
    return same !== undefined && column.unit === undefined
      ? { ...column, unit: same.unit, temperatureUnit: same.temperatureUnit }
      : column;
  });
  const columns = takeDepth(known, [], at, () => {});
  checkSingle(columns, at);
  const places = placeColumns(columns, options, at, () => {});
  const depth = columns[places.depth];
  const unit =
    depth.unit ??
    (depth.name === before.columns[before.at.depth].name ? before.depthUnit : asUnit(options.depthUnit));
  if (unit === undefined && places.unit < 0) throw new Refusal([depthUnitUnknown(at, depth.name)]);
  const temperature = places.temperature < 0 ? undefined : columns[places.temperature].temperatureUnit;
  return {
    ...before,
    columns,
    at: places,
    depthUnit: unit,
    depthFrom: depth.from,
    temperatureUnit: temperature,
  };
}

/** Skips a line of names before the rows when `--columns` is given. */
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

/** Columns with units from a row of units; undefined when the line is not a row of units. */
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
  columns = takeProjected(columns, sample, at, say);
  columns = takeDepth(columns, sample, at, say);
  checkSingle(columns, at);
  const places = placeColumns(columns, options, at, say);
  const decimal = decimalMark(places, sample);
  const stated = options.positionFormat;
  const position = {
    decimal,
    packed: stated === 'packed-minutes',
    explicit: stated !== undefined,
    scale: options.positionScale ?? 1,
  };
  const names = [columns[places.lat]?.name ?? '', columns[places.lon]?.name ?? ''] as const;
  checkPositions(places, sample, position, names, at);
  const vertical = verticalOf(columns[places.depth], places.depth, sample, decimal, options, at, say);
  const depthUnit = depthUnitOf(columns[places.depth], places, sample, options, at, say);
  const temperature = places.temperature < 0 ? undefined : columns[places.temperature];
  if (temperature !== undefined && temperature.temperatureUnit === undefined)
    say(temperatureUnit(at, temperature.name));
  const time = {
    zone: zoneOf(options),
    dateOrder: options.dateOrder as 'dmy' | 'mdy' | 'ymd' | undefined,
    spreadsheetDays: options.spreadsheetDays,
  };
  if (places.time < 0 && places.date < 0) say(noTimes(at));
  else if (!options.spreadsheetDays) checkDayNumbers(places, sample, time, at);
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
    depthFrom: columns[places.depth].from,
    temperatureUnit: temperature?.temperatureUnit,
    position,
    time,
    validity: columns.flatMap(({ role }, column) => (role === 'valid' ? [column] : [])),
    channel: options.channel?.split('=')[1].trim(),
    datum: options.datum,
    sentinels: sentinelSet(options),
    zeroIsValid: options.zeroIsValid,
    maxDepth: options.maxDepth,
    latest: options.now === undefined ? 4_102_444_800 : options.now + 86400,
  };
}

/** Adds a column for a trailing delimiter, which many logs put on every row but not on the header. */
function addTrailing(columns: readonly Column[], sample: readonly SampleRow[]): Column[] {
  const trailing = sample.filter(
    ({ fields }) => fields.length === columns.length + 1 && fields.at(-1) === '',
  );
  const isUsual = sample.length > 0 && trailing.length * 2 > sample.length;
  return isUsual ? [...columns, { name: '', role: 'ignore' }] : [...columns];
}

/** Reads `y,x` as latitude and longitude when both columns exist and every value fits. */
function takeProjected(
  columns: readonly Column[],
  sample: readonly SampleRow[],
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
  return columns.map((column) =>
    column.role === 'x'
      ? { ...column, role: 'lon' }
      : column.role === 'y'
        ? { ...column, role: 'lat' }
        : column,
  );
}

/**
 * One column of several that hold the depth from different levels: from the surface, else from the transducer, else from
 * the keel. A column without values is passed over. Among columns that do not all state their level, only one from the
 * surface is certain.
 */
function takeDepth(
  columns: readonly Column[],
  sample: readonly SampleRow[],
  at: At,
  say: (d: Diagnostic) => void,
): Column[] {
  const rivals = columns.filter(({ role }) => role === 'depth');
  const isFilled = (column: Column): boolean =>
    sample.length === 0 || sample.some(({ fields }) => (fields[columns.indexOf(column)] ?? '').trim() !== '');
  const of = (level: DepthReference): Column[] => rivals.filter(({ from }) => from === level);
  const levels = (['surface', 'transducer', 'keel'] as const).filter((level) => of(level).some(isFilled));
  const isCertain = levels[0] === 'surface' || rivals.every(({ from }) => from !== undefined);
  if (rivals.length < 2 || levels.length === 0 || of(levels[0]).length > 1 || !isCertain) return [...columns];
  const [used] = of(levels[0]);
  say(
    severalDepths(
      at,
      used.name,
      rivals.filter((column) => column !== used).map(({ name }) => name),
    ),
  );
  return columns.map((column) =>
    column.role === 'depth' && column !== used ? { ...column, role: 'ignore' } : column,
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
  const index = columns.findIndex((column) => plainColumnName(column.name) === plainColumnName(name));
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

function zoneOf(options: ReaderOptions): TimeZone {
  if (options.tz === undefined) return UTC;
  const zone = parseZone(options.tz);
  if (zone === undefined) throw new Refusal([zoneUnknown(options.tz)], 2);
  return zone;
}

/** First date of the sample whose order of day and month is unknown. */
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
