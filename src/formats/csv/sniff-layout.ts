import { pick } from 'es-toolkit/object';
import { Refusal, type Report } from '../../../shared/contract/index.ts';
import {
  type At,
  dateNumbers,
  lengthUnitOf,
  parseNumber,
  parseZone,
  refusalMessages as refusals,
  soundingMessages as says,
  type TimeZone,
  UTC,
} from '../../../shared/text/index.ts';
import { type Column, findRole, isUnitWord, namesOf, temperatureUnitWord } from './column-names.ts';
import { findHeader } from './find-header.ts';
import { DEFAULT_SENTINELS, type Layout, latestTime } from './layout.ts';
import { type HeadLine, isComment, roughFields } from './lines.ts';
import { placeColumns } from './place-columns.ts';
import type { ReaderOptions } from './reader-options.ts';
import {
  type Beginning,
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

/** Layout of a log and start of its rows, found from its first lines. */
export interface Sniffed {
  readonly layout: Layout;
  /** Offset of the first row, bytes. */
  readonly offset: number;
  /** Physical line of the first row, 1-based. */
  readonly line: number;
  /** Text of the header line, to recognize a repeat; undefined when the user named the columns. */
  readonly headerText: string | undefined;
  /** First date in the sample written like 01/02/2024; absent if there is none, or with `--date-order`. */
  readonly unknownDateOrder?: { readonly at: At; readonly text: string };
}

/**
 * Finds the layout of a log from its first lines and the user's options.
 *
 * @throws Refusal when the user has to say more about the log.
 */
export function sniffLayout(lines: readonly HeadLine[], options: ReaderOptions, say: Report): Sniffed {
  const { delimiter, index, columns: named } = findHeader(lines, options);
  const headLine = lines[index] as HeadLine | undefined;
  const at = { line: headLine?.line ?? 1 };
  if (index > 0 && !/^.?"?sep=/i.test(lines[index - 1].text))
    say(says['header-line'](at, lines[index].text.trim()));
  if (delimiter === ' ') say(says.spaces(at));
  let start = index < 0 ? skipStatedHeader(lines, delimiter, say) : index + 1;
  const units = unitsOfRow(lines[start], delimiter, named);
  if (units !== undefined) {
    say(says['units-row']({ line: lines[start].line }, lines[start].text.trim()));
    start++;
  }
  const sample = sampleRows(lines.slice(start), delimiter);
  const layout = buildLayout(units ?? named, delimiter, { sample, options, at, say });
  return {
    layout,
    offset: lines[start - 1]?.next ?? 0,
    line: (lines[start - 1]?.line ?? 0) + 1,
    headerText: headLine?.text.trim(),
    unknownDateOrder: layout.time.dateOrder === undefined ? ambiguousDate(sample, layout) : undefined,
  };
}

/** Returns the index of the first row when `--columns` is given, after a line of names if there is one. */
function skipStatedHeader(lines: readonly HeadLine[], delimiter: string, say: Report): number {
  for (let i = 0; i < lines.length; i++) {
    const { text, line } = lines[i];
    if (text.trim() === '' || isComment(text) || /^.?"?sep=/i.test(text)) continue;
    const fields = roughFields(text, delimiter).filter((field) => field !== '');
    if (fields.some((field) => /\d/.test(field))) return i;
    say(says['header-skipped']({ line }, text.trim()));
    return i + 1;
  }
  return lines.length;
}

/** Adds the units of a row of units to the columns; undefined when the line is not a row of units. */
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

function buildLayout(named: readonly Column[], delimiter: string, beginning: Beginning): Layout {
  const { sample, options, at, say } = beginning;
  checkFieldCounts(named.length, delimiter, beginning);
  const degrees = takeProjected(addTrailing(named, sample), beginning);
  const { columns, places } = placeColumns(degrees, beginning);
  const depth = columns[places.depth];
  const decimal = decimalMark(places, sample);
  const position = {
    decimal,
    packed: options.positionFormat === 'packed-minutes',
    explicit: options.positionFormat !== undefined,
    scale: options.positionScale ?? 1,
  };
  checkPositions(columns, places, position, beginning);
  const vertical = verticalOf(depth, places.depth, decimal, beginning);
  const depthUnit = depthUnitOf(depth, places, beginning);
  const temperature = columns[places.temperature] as Column | undefined;
  if (temperature !== undefined && temperature.temperatureUnit === undefined)
    say(says['temperature-unit'](at, temperature.name));
  const time = {
    zone: zoneOf(options),
    dateOrder: options.dateOrder as 'dmy' | 'mdy' | 'ymd' | undefined,
    spreadsheetDays: options.spreadsheetDays,
  };
  if (places.time < 0 && places.date < 0) say(says['no-times'](at));
  else if (!options.spreadsheetDays) checkDayNumbers(places, time, sample);
  const unused = columns.filter(
    ({ role, name }, i) =>
      !Object.values(places).includes(i) && role !== 'valid' && name !== '' && name !== '-',
  );
  if (unused.length > 0) say(says['extra-columns'](at, namesOf(unused)));
  return {
    delimiter,
    decimal,
    columns,
    at: places,
    depthUnit,
    vertical,
    depthFrom: depth.from,
    temperatureUnit: temperature?.temperatureUnit,
    position,
    time,
    validity: columns.flatMap(({ role }, column) => (role === 'valid' ? [column] : [])),
    channel: options.channel?.split('=')[1].trim(),
    sentinels: new Set([...DEFAULT_SENTINELS, ...options.sentinels.map((text) => parseNumber(text))]),
    ...pick(options, ['datum', 'zeroIsValid', 'maxDepth']),
    latest: latestTime(options),
  };
}

/** Adds a column without a name when most rows end in a delimiter and the header does not. */
function addTrailing(columns: readonly Column[], sample: readonly SampleRow[]): readonly Column[] {
  const trailing = sample.filter(
    ({ fields }) => fields.length === columns.length + 1 && fields.at(-1) === '',
  );
  const isUsual = sample.length > 0 && trailing.length * 2 > sample.length;
  return isUsual ? [...columns, { name: '', role: 'ignore' }] : columns;
}

/**
 * Takes x and y as degrees if the log lacks latitude or longitude.
 *
 * @throws Refusal when most values are out of range for degrees.
 */
function takeProjected(
  columns: readonly Column[],
  { sample, options, at, say }: Beginning,
): readonly Column[] {
  const x = findRole(columns, 'x');
  const y = findRole(columns, 'y');
  const isPlaced = findRole(columns, 'lat') >= 0 && findRole(columns, 'lon') >= 0;
  if (isPlaced || x < 0 || y < 0) return columns;
  const fits = (column: number, limit: number) => {
    const values = sample.map(({ fields }) => parseNumber((fields[column] ?? '').replace(',', '.')));
    return values.filter((value) => Math.abs(value) > limit).length * 2 <= values.length;
  };
  // Latitudes beyond 90 degrees are left to `checkPositions`.
  if (!fits(x, 360) || !fits(y, 180)) {
    const refuse = refusals[options.columns === undefined ? 'projected' : 'projected columns'];
    throw new Refusal([refuse(at, [columns[x].name, columns[y].name], options.crs !== undefined)]);
  }
  say(says['x-y'](at, columns[x].name, columns[y].name));
  const degrees = { x: 'lon', y: 'lat' } as const;
  return columns.map((column) =>
    column.role === 'x' || column.role === 'y' ? { ...column, role: degrees[column.role] } : column,
  );
}

function zoneOf(options: ReaderOptions): TimeZone {
  if (options.tz === undefined) return UTC;
  const zone = parseZone(options.tz);
  if (zone === undefined) throw new Refusal([refusals.zone({}, options.tz)], 2);
  return zone;
}

function ambiguousDate(sample: readonly SampleRow[], layout: Layout): { at: At; text: string } | undefined {
  const { at: places } = layout;
  if (places.time < 0 && places.date < 0) return undefined;
  for (const { fields, line } of sample) {
    const text = timeText(fields, places);
    if (dateNumbers(text) !== undefined) return { at: { line }, text };
  }
  return undefined;
}
