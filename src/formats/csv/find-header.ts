import { Refusal } from '../../../shared/contract/index.ts';
import { refusalMessages as refusals } from '../../../shared/text/index.ts';
import { applyMap, MAPPABLE, unknownName } from './column-map.ts';
import { type Column, findRole, namesOf, type Role, readColumnName } from './column-names.ts';
import { firstContent, type HeadLine, roughFields, widestDelimiter } from './lines.ts';
import type { ReaderOptions } from './reader-options.ts';

/** Maximum number of lines searched for a header, from the first that is neither blank nor a comment. */
const MAX_PREAMBLE = 50;

/** Range of coordinates on map grids, m. Smaller numbers may be packed minutes, larger ones scaled degrees. */
const ON_GRID = [18_000, 10_000_000] as const;

/** Delimiters to try; the first in the list wins a tie. */
const DELIMITERS: readonly string[] = ['\t', ';', '|', ',', ' '];

export interface Header {
  readonly delimiter: string;
  readonly columns: readonly Column[];
  /** Index of the header in the first lines of the file; -1 when the user named the columns. */
  readonly index: number;
}

/**
 * Returns whether the columns include what a sounding needs: a depth or elevation, and a position or a time.
 * A time does not suffice in a log with map coordinates.
 */
export function isUsableHeader(columns: readonly Column[]): boolean {
  const has = (role: Role) => findRole(columns, role) >= 0;
  const isPlaced = (has('lat') && has('lon')) || (has('x') && has('y'));
  const isTimed = (has('time') || has('date')) && !has('grid') && !has('x');
  return (has('depth') || has('elevation')) && (isPlaced || isTimed);
}

/**
 * Finds the header in the first lines of a file, and the delimiter that fits the header best. Columns given
 * by `--columns` are used instead of a header.
 *
 * @throws Refusal that says what was found and what to do, when there is no usable header.
 */
export function findHeader(lines: readonly HeadLine[], options: ReaderOptions): Header {
  const hint = /^(?:\uFEFF)?"?sep=(.)"?$/i.exec(lines[0]?.text ?? '');
  const first = hint === null ? 0 : 1;
  const rest = lines.slice(first);
  if (options.columns !== undefined)
    return statedColumns(rest, options, hint === null ? DELIMITERS : [hint[1]]);
  // A program may write a line `sep=` and then use a delimiter other than the stated one.
  const delimiters = hint === null ? DELIMITERS : [hint[1], ...DELIMITERS];
  const content = firstContent(rest);
  const end = content === undefined ? lines.length : lines.indexOf(content) + MAX_PREAMBLE;
  for (let index = first; index < Math.min(lines.length, end); index++) {
    const { line, text: whole } = lines[index];
    const text = stripComment(whole);
    let best: Header | undefined;
    let most = 1;
    for (const delimiter of delimiters) {
      const columns = applyMap(roughFields(text, delimiter).map(readColumnName), options.map);
      const known = columns.filter((column) => column.role !== 'ignore').length;
      if (!isUsableHeader(columns) || known <= most) continue;
      // A comment counts as the header only if the row after it has as many fields or more.
      const row = text === whole ? undefined : firstContent(lines.slice(index + 1));
      if (row !== undefined && roughFields(row.text, delimiter).length < columns.length) continue;
      most = known;
      best = { delimiter, columns, index };
    }
    if (best === undefined) continue;
    const unknown = unknownName(best.columns, options.map);
    if (unknown === undefined) return best;
    throw new Refusal([refusals.map({ line }, unknown, namesOf(best.columns))]);
  }
  throw new Refusal([whyNoHeader(rest, options)]);
}

const stripComment = (text: string): string => text.replace(/^\uFEFF?\s*(?:#|;|\/\/)\s*/, '');

function statedColumns(
  lines: readonly HeadLine[],
  options: ReaderOptions,
  delimiters: readonly string[],
): Header {
  const columns = options.columns!.map((name): Column => (name === '-' ? UNUSED : readColumnName(name)));
  const unknown = columns.find((column) => column.role === 'ignore' && column.name !== '-');
  if (unknown !== undefined) throw new Refusal([refusals['map columns']({}, unknown.name, STATABLE)], 2);
  const sample = firstContent(lines);
  if (sample === undefined) throw new Refusal([refusals['empty-file']({})]);
  const grid = namesOf(columns, 'grid');
  if (grid.length > 0)
    throw new Refusal([refusals['projected columns']({}, grid, options.crs !== undefined)], 2);
  if (!isUsableHeader(columns))
    throw new Refusal([refusals['no-positions columns']({}, missingRoles(columns))], 2);
  const delimiter = widestDelimiter(sample.text, delimiters);
  const extra = Math.max(0, roughFields(sample.text, delimiter).length - columns.length);
  return { delimiter, columns: [...columns, ...Array<Column>(extra).fill(UNUSED)], index: -1 };
}

/** Roles to suggest when a name in `--columns` is unknown. A column to ignore is written `-`. */
const STATABLE = MAPPABLE.filter((role) => role !== 'ignore');

const UNUSED: Column = { name: '-', role: 'ignore' };

function whyNoHeader(lines: readonly HeadLine[], options: ReaderOptions) {
  const found = lines.slice(0, MAX_PREAMBLE).findIndex((_, i) => namesAt(lines, i) !== undefined);
  const first = lines[found] ?? firstContent(lines) ?? lines[0];
  if (first === undefined) return refusals['empty-file']({});
  const at = { line: first.line };
  const delimiter = widestDelimiter(first.text, DELIMITERS);
  const fields = namesAt(lines, found) ?? roughFields(first.text, delimiter);
  if (hasNumbers(fields)) return refusals[areOnGrid(fields) ? 'no-header grid' : 'no-header'](at, first.text);
  const columns = applyMap(fields.map(readColumnName), options.map);
  const missing = missingRoles(columns);
  const grid = namesOf(columns, 'grid');
  if (grid.length > 0 && missing.includes('depth'))
    return refusals['header-unknown grid'](at, fields, options.crs !== undefined);
  if (grid.length > 0) return refusals.projected(at, grid, options.crs !== undefined);
  // Words between blanks are a sentence unless a row of numbers follows.
  const isSentence = found < 0 && delimiter === ' ';
  if (isSentence || (fields.length < 3 && missing.length === 3))
    return refusals['header-unknown none'](at, first.text.trim());
  if (fields.length < 3) return refusals['header-unknown few'](at, fields, missing);
  const unknown = unknownName(columns, options.map);
  return unknown === undefined
    ? refusals['header-unknown'](at, fields, missing, options.map)
    : refusals.map(at, unknown, fields);
}

const hasNumbers = (fields: readonly string[]): boolean =>
  fields.filter((field) => /^[+-]?[\d.,:]+$/.test(field)).length >= 2;

/** Returns whether a row begins with map coordinates. */
const areOnGrid = (fields: readonly string[]): boolean =>
  fields.slice(0, 2).every((field) => Number(field) > ON_GRID[0] && Number(field) <= ON_GRID[1]);

/** Returns the names on a line, such as one below a title, if a row of as many fields with numbers follows. */
function namesAt(lines: readonly HeadLine[], index: number): string[] | undefined {
  const delimiter = widestDelimiter(lines[index + 1]?.text ?? '', DELIMITERS);
  const [names, row] = [index, index + 1].map((i) => roughFields(lines[i]?.text ?? '', delimiter));
  return names.length === row.length && !hasNumbers(names) && hasNumbers(row) ? names : undefined;
}

/** Returns what a header lacks of latitude, longitude and depth. Elevation counts as depth. */
export const missingRoles = (columns: readonly Column[]): Role[] =>
  (['lat', 'lon', 'depth'] as const).filter(
    (role) => findRole(columns, role) < 0 && (role !== 'depth' || findRole(columns, 'elevation') < 0),
  );
