import { groupBy } from 'es-toolkit/array';
import { type Diagnostic, type LengthUnit, Refusal, type Report } from '../../../shared/contract/index.ts';
import {
  type At,
  type ParsedPosition,
  parseNumber,
  parsePosition,
  parseTime,
  refusalMessages as refusals,
  soundingMessages as says,
} from '../../../shared/text/index.ts';
import { type Column, readColumnName } from './column-names.ts';
import type { ColumnPlaces, Layout } from './layout.ts';
import { type HeadLine, isComment, roughFields } from './lines.ts';
import type { ReaderOptions } from './reader-options.ts';

/** Maximum number of rows at the start of a log that are used to find its layout; judgment. */
const SAMPLE_ROWS = 400;

export interface SampleRow {
  readonly fields: readonly string[];
  readonly line: number;
}

/** Input for finding the layout of a log, in addition to the header. */
export interface Beginning {
  readonly sample: readonly SampleRow[];
  readonly options: ReaderOptions;
  /** Line of the header, for messages. */
  readonly at: At;
  /** Receives messages about the log as a whole. */
  readonly say: Report;
}

/** Splits the first rows of a log into fields. Comments and lines without values are left out. */
export function sampleRows(lines: readonly HeadLine[], delimiter: string): SampleRow[] {
  const rows: SampleRow[] = [];
  for (const { text, line } of lines) {
    if (rows.length >= SAMPLE_ROWS) break;
    if (/^[\s,;|\t\0\uFFFDÿ]*$/.test(text) || isComment(text)) continue;
    rows.push({ fields: roughFields(text, delimiter), line });
  }
  return rows;
}

/** @throws Refusal for decimal commas if delimiters are commas too: "59,5,24,5" has four fields, not two. */
export function checkFieldCounts(expected: number, delimiter: string, { sample }: Beginning): void {
  if (delimiter !== ',') return;
  const long = sample.filter(
    ({ fields }) => fields.length > expected && fields.every((f, i) => !f.includes('.') || i === 0),
  );
  if (long.length * 2 <= sample.length || long[0].fields.slice(expected).every((field) => field === ''))
    return;
  const { line, fields } = long[0];
  throw new Refusal([refusals['decimal-comma']({ line }, fields.length, expected)]);
}

export function decimalMark(places: ColumnPlaces, sample: readonly SampleRow[]): '.' | ',' {
  let points = 0;
  let commas = 0;
  for (const { fields } of sample) {
    for (const column of [places.lat, places.lon, places.depth]) {
      const text = fields[column] ?? '';
      if (/^[+-]?\d*\.\d+\D*$/.test(text)) points++;
      if (/^[+-]?\d*,\d+\D*$/.test(text)) commas++;
    }
  }
  return commas > points ? ',' : '.';
}

export function checkPositions(
  columns: readonly Column[],
  places: ColumnPlaces,
  rules: Layout['position'],
  { sample, options }: Beginning,
): void {
  if (places.lat < 0 || sample.length === 0) return;
  let swapped = 0;
  let usable = 0;
  refuseMost(sample, ({ fields, line }) => {
    const texts = [fields[places.lat] ?? '', fields[places.lon] ?? ''];
    const letters = [fields[places.ns] || undefined, fields[places.ew] || undefined];
    const lat = parsePosition(texts[0], 'lat', rules, letters[0]);
    const lon = parsePosition(texts[1], 'lon', rules, letters[1]);
    if (typeof lat === 'number' && typeof lon === 'number') {
      usable++;
      if (Math.abs(lat) > 90 && Math.abs(lat) <= 180 && Math.abs(lon) <= 90) swapped++;
    }
    return [lat, lon]
      .map((value, i) => refusedForm(value, texts[i], letters[i], { line }))
      .find((found) => found !== undefined);
  });
  if (usable > 0 && swapped === usable) {
    const at = { line: sample[0].line };
    const [lat, lon] = [columns[places.lat].name, columns[places.lon].name];
    const swap = (name: string): string => (name === lat ? lon : name === lon ? lat : name);
    throw new Refusal([
      options.columns === undefined
        ? refusals.swapped(at, 'map', `lat=${lon},lon=${lat}`, [lat, lon])
        : refusals.swapped(at, 'columns', options.columns.map(swap).join(','), [lat, lon]),
    ]);
  }
}

/** @throws Refusal for a fault in more than half of the rows. A fault in fewer rows is damage. */
function refuseMost(sample: readonly SampleRow[], faultOf: (row: SampleRow) => Diagnostic | undefined): void {
  const faults = sample.map(faultOf).filter((fault) => fault !== undefined);
  const [most] = Object.values(groupBy(faults, ({ code }) => code)).sort((a, b) => b.length - a.length);
  if (most?.length * 2 > sample.length) throw new Refusal([most[Math.floor(sample.length / 2)]]);
}

function refusedForm(value: ParsedPosition, text: string, letter: string | undefined, at: At) {
  if (value === 'hemisphere-sign') return refusals.hemisphere(at, `${text} ${letter ?? ''}`.trim());
  if (value === 'packed-ambiguous') return refusals['packed-ambiguous'](at, text);
  if (value === 'looks-packed') return refusals.packed(at, text);
  const isScaled = typeof value === 'number' && Math.abs(value) > 100_000 && Number.isInteger(value);
  return isScaled ? refusals.scaled(at, text) : undefined;
}

/**
 * Finds whether depths are positive down or up: as the user stated, else up for a column of elevations.
 *
 * @throws Refusal when 5 % or more of the sampled elevations other than 0 are above 0.
 */
export function verticalOf(
  column: Column,
  place: number,
  decimal: '.' | ',',
  { sample, options, at, say }: Beginning,
): 'down' | 'up' {
  if (options.vertical !== undefined) return options.vertical as 'down' | 'up';
  if (column.role !== 'elevation' && !/^(?:z|elev)/i.test(column.name)) return 'down';
  const values = sample
    .map(({ fields }) => parseNumber(/^(\S*?)\s*[A-Za-z]*$/.exec(fields[place] ?? '')?.[1] ?? '', decimal))
    .filter((value) => value !== 0 && !Number.isNaN(value));
  if (values.length === 0) return 'up';
  const share = values.filter((value) => value < 0).length / values.length;
  if (share <= 0.95) throw new Refusal([refusals.vertical(at, column.name, share)]);
  say(says.elevation(at, `the values of column "${column.name}"`, share));
  return 'up';
}

/**
 * Finds the unit of depths; undefined when rows state their own, or when there are no rows.
 *
 * @throws Refusal when no unit is stated.
 */
export function depthUnitOf(
  { name, unit }: Column,
  places: ColumnPlaces,
  { sample, options, at, say }: Beginning,
): LengthUnit | undefined {
  if (places.unit >= 0) return undefined;
  const used = unit ?? (options.depthUnit as LengthUnit | undefined);
  if (used !== undefined) {
    const named = `from the ${readColumnName(name).unit === unit ? 'name of' : 'row of units below'} column "${name}"`;
    say(says['depth-unit'](at, used, unit === undefined ? '--depth-unit' : named));
    return used;
  }
  const withSuffix = sample.filter(({ fields }) => /[\d.]\s*[A-Za-z]+\.?$/.test(fields[places.depth] ?? ''));
  if (sample.length === 0 || withSuffix.length * 2 > sample.length) return undefined;
  throw new Refusal([refusals['depth-unit'](at, name, options.columns === undefined)]);
}

export const timeText = (fields: readonly string[], places: ColumnPlaces): string =>
  [fields[places.date] ?? '', fields[places.time] ?? ''].filter((part) => part !== '').join(' ');

export function checkDayNumbers(
  places: ColumnPlaces,
  rules: Layout['time'],
  sample: readonly SampleRow[],
): void {
  refuseMost(sample, ({ fields, line }) => {
    const text = timeText(fields, places);
    const time = parseTime(text, rules);
    return 'fault' in time && time.fault === 'day-number'
      ? refusals['day-number']({ line }, text)
      : undefined;
  });
}
