import { type Diagnostic, type LengthUnit, Refusal } from '../../../shared/contract/index.ts';
import {
  type At,
  depthUnitUsed,
  elevationAsDepth,
  type ParsedPosition,
  parseNumber,
  parsePosition,
  parseTime,
  soundingRefusals as refusalSays,
} from '../../../shared/text/index.ts';
import type { Column } from './column-names.ts';
import { isComment } from './find-header.ts';
import type { ColumnPlaces, Layout } from './layout.ts';
import { type HeadLine, roughFields } from './lines.ts';
import type { ReaderOptions } from './reader-options.ts';

/** Rows used to detect the decimal mark, the sign of depths and the form of positions. */
const SAMPLE_ROWS = 400;

/** Fields of one of the first rows. */
export interface SampleRow {
  readonly fields: readonly string[];
  readonly line: number;
}

/** The first rows of a log, without comments and blank lines. */
export function sampleRows(lines: readonly HeadLine[], delimiter: string): SampleRow[] {
  const rows: SampleRow[] = [];
  for (const { text, line } of lines) {
    if (rows.length >= SAMPLE_ROWS) break;
    if (/^[\s,;|\t\0\uFFFDÿ]*$/.test(text) || isComment(text)) continue;
    rows.push({ fields: roughFields(text, delimiter), line });
  }
  return rows;
}

/**
 * @throws Refusal for decimal commas in a comma-separated table: "59,5,24,5,3,2" has twice the fields, all of them
 * short whole numbers.
 */
export function checkFieldCounts(
  expected: number,
  delimiter: string,
  sample: readonly SampleRow[],
  at: At,
): void {
  if (delimiter !== ',' || sample.length === 0) return;
  const long = sample.filter(
    ({ fields }) =>
      fields.length > expected && fields.every((f, i) => f === '' || !f.includes('.') || i === 0),
  );
  if (long.length * 2 <= sample.length || long[0].fields.slice(expected).every((field) => field === ''))
    return;
  throw new Refusal([
    refusalSays.commaDecimalComma({ ...at, line: long[0].line }, long[0].fields.length, expected),
  ]);
}

/** The decimal mark that most numbers of the sample use. */
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
  places: ColumnPlaces,
  sample: readonly SampleRow[],
  rules: Layout['position'],
  names: readonly [lat: string, lon: string],
  at: At,
): void {
  if (places.lat < 0 || sample.length === 0) return;
  let swapped = 0;
  let usable = 0;
  const refusals = new Map<string, number>();
  // The form of most first rows is the form of the log; a single odd row is damaged and gets dropped.
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
    throw new Refusal([refusalSays.swappedPositions({ ...at, line: sample[0].line }, names)]);
}

const FORMS_REFUSED: ReadonlySet<unknown> = new Set(['hemisphere-sign', 'packed-ambiguous', 'looks-packed']);

const isScaled = (value: ParsedPosition): boolean =>
  typeof value === 'number' && Math.abs(value) > 100_000 && Number.isInteger(value);

function refusedForm(form: ParsedPosition, text: string, letter: string | undefined, at: At): Diagnostic {
  if (form === 'hemisphere-sign') return refusalSays.hemisphereSign(at, `${text} ${letter ?? ''}`.trim());
  if (form === 'packed-ambiguous') return refusalSays.ambiguousPosition(at, text);
  return form === 'looks-packed'
    ? refusalSays.packedPositions(at, text)
    : refusalSays.scaledPositions(at, text);
}

/** Direction of the depth column: as stated, else down for depths, else from the sample for elevations. */
export function verticalOf(
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
  if (share <= 0.95) throw new Refusal([refusalSays.verticalUnknown(at, column.name, share)]);
  say(elevationAsDepth(at, `the values of column "${column.name}"`, share));
  return 'up';
}

/** Unit of plain depths; undefined when every row states its own. @throws Refusal when nothing states a unit. */
export function depthUnitOf(
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
  const stated = options.depthUnit as LengthUnit | undefined;
  if (stated !== undefined) {
    say(depthUnitUsed(at, stated, '--depth-unit'));
    return stated;
  }
  const withSuffix = sample.filter(({ fields }) => /[\d.]\s*[A-Za-z]+\.?$/.test(fields[places.depth] ?? ''));
  if (withSuffix.length * 2 > sample.length) return undefined;
  // A log without rows needs no unit.
  if (sample.length === 0) return undefined;
  throw new Refusal([refusalSays.depthUnitUnknown(at, column.name)]);
}

export const timeText = (fields: readonly string[], places: ColumnPlaces): string =>
  [fields[places.date] ?? '', fields[places.time] ?? ''].filter((part) => part !== '').join(' ');

export function checkDayNumbers(
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
    if (++found * 2 > sample.length) throw new Refusal([refusalSays.dayNumbers({ ...at, line }, text)]);
  }
}
