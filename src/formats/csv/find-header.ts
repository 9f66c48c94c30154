import { Refusal } from '../../../shared/contract/index.ts';
import {
  type At,
  headerUnknown,
  logEmpty,
  mapMalformed,
  mapUnknown,
  noHeader,
  projectedRefused,
  twoColumns,
} from '../../../shared/text/index.ts';
import { type Column, plainColumnName, type Role, readColumnName } from './column-names.ts';
import { type HeadLine, roughFields } from './head-lines.ts';
import type { ReaderOptions } from './reader-options.ts';

/** Roles that a user may give a column. */
const MAPPABLE: readonly Role[] = [
  'lat',
  'lon',
  'depth',
  'time',
  'date',
  'temperature',
  'unit',
  'ns',
  'ew',
  'datum',
  'valid',
  'ignore',
];

/** Lines searched for a header. */
const MOST_PREAMBLE = 50;

/** Delimiters to try; the first one wins a tie. */
const DELIMITERS: readonly string[] = ['\t', ';', '|', ',', ' '];

export interface Header {
  readonly delimiter: string;
  readonly columns: readonly Column[];
  /** Index of the header among the head lines; -1 when the user named the columns. */
  readonly index: number;
}

/** True when the columns include what a sounding needs: a depth, and a position or a time. */
export function isUsableHeader(columns: readonly Column[]): boolean {
  const has = (role: Role) => columns.some((column) => column.role === role);
  const hasDepth = has('depth') || has('elevation');
  return (
    hasDepth &&
    ((has('lat') && has('lon')) ||
      (has('x') && has('y')) ||
      ((has('time') || has('date')) && !hasGrid(columns)))
  );
}

const hasGrid = (columns: readonly Column[]): boolean =>
  columns.some((column) => column.role === 'grid' || column.role === 'x');

/**
 * Finds the header among the first lines, together with the delimiter that fits it best.
 *
 * @throws Refusal when there is no header, naming the columns seen and the option that helps.
 */
export function findHeader(lines: readonly HeadLine[], options: ReaderOptions, file: string): Header {
  const hint = /^(?:﻿)?"?sep=(.)"?$/i.exec(lines[0]?.text ?? '');
  const delimiters = hint === null ? DELIMITERS : [hint[1]];
  const first = hint === null ? 0 : 1;
  if (options.columns !== undefined) return statedColumns(lines, first, options.columns, delimiters, file);
  let best: { header: Header; line: HeadLine } | undefined;
  for (let i = first; i < Math.min(lines.length, MOST_PREAMBLE) && best === undefined; i++) {
    const text = stripComment(lines[i].text);
    let most = 1;
    for (const delimiter of delimiters) {
      const columns = applyMap(roughFields(text, delimiter).map(readColumnName), options.map);
      const known = columns.filter((column) => column.role !== 'ignore').length;
      if (!isUsableHeader(columns) || known <= most) continue;
      most = known;
      best = { header: { delimiter, columns, index: i }, line: lines[i] };
    }
  }
  if (best === undefined) throw new Refusal([whyNoHeader(lines.slice(first), options, file)]);
  checkMap(best.header.columns, options.map, { file, line: best.line.line });
  return best.header;
}

/** Removes a comment mark, which may precede a header. */
const stripComment = (text: string): string => text.replace(/^\uFEFF?\s*(?:#|;|\/\/)\s*/, '');

function statedColumns(
  lines: readonly HeadLine[],
  first: number,
  stated: readonly string[],
  delimiters: readonly string[],
  file: string,
): Header {
  const columns = stated.map(
    (name): Column => (name === '-' ? { name, role: 'ignore' } : readColumnName(name)),
  );
  for (const column of columns) {
    if (column.name !== '-' && column.role === 'ignore')
      throw new Refusal([mapMalformed(column.name, [...MAPPABLE, '-'])], 2);
  }
  const sample = lines.slice(first).find((line) => line.text.trim() !== '' && !isComment(line.text));
  if (sample === undefined) throw new Refusal([logEmpty({ file })]);
  let delimiter = ',';
  let most = 0;
  for (const candidate of delimiters) {
    const count = roughFields(sample.text, candidate).length;
    if (count > most) [delimiter, most] = [candidate, count];
  }
  const extra = Array.from(
    { length: Math.max(0, most - columns.length) },
    (): Column => ({ name: '-', role: 'ignore' }),
  );
  return { delimiter, columns: [...columns, ...extra], index: -1 };
}

export const isComment = (text: string): boolean => /^\s*(?:#|;|\/\/)/.test(text) && !/^\s*;+\s*$/.test(text);

/** Gives each mapped column its role and removes that role from all others. */
export function applyMap(columns: readonly Column[], map: readonly string[] | undefined): Column[] {
  if (map === undefined) return [...columns];
  const result = [...columns];
  for (const entry of map) {
    const [role, name] = splitMap(entry);
    const target = findMapped(columns, name);
    if (target < 0) continue;
    for (let i = 0; i < result.length; i++) {
      const isRival =
        (result[i].role === role && role !== 'ignore' && role !== 'valid') ||
        (role === 'depth' && result[i].role === 'elevation');
      if (isRival && i !== target) result[i] = { ...result[i], role: 'ignore' };
    }
    const unit = readColumnName(columns[target].name);
    result[target] = { ...unit, role, temperatureUnit: unit.temperatureUnit };
  }
  return result;
}

/** Role and name from `ROLE=NAME`. @throws Refusal of the command for any other form. */
function splitMap(entry: string): [role: Role, name: string] {
  const at = entry.indexOf('=');
  const role = entry.slice(0, Math.max(at, 0)).trim().toLowerCase() as Role;
  if (at < 1 || !MAPPABLE.includes(role) || entry.slice(at + 1).trim() === '') {
    throw new Refusal([mapMalformed(entry, MAPPABLE)], 2);
  }
  return [role, entry.slice(at + 1).trim()];
}

/** Index of a column by exact name, else by letters and digits alone, else by `#NUMBER`. */
function findMapped(columns: readonly Column[], name: string): number {
  const exact = columns.findIndex((column) => column.name === name);
  if (exact >= 0) return exact;
  const number = /^#(\d{1,3})$/.exec(name);
  if (number !== null) {
    const index = columns.findIndex((_, i) => String(i + 1) === number[1]);
    return index;
  }
  return columns.findIndex(
    (column) => plainColumnName(column.name) === plainColumnName(name) && plainColumnName(name) !== '',
  );
}

function checkMap(columns: readonly Column[], map: readonly string[] | undefined, at: At): void {
  for (const entry of map ?? []) {
    const [, name] = splitMap(entry);
    if (findMapped(columns, name) < 0) {
      throw new Refusal([
        mapUnknown(
          at,
          name,
          columns.map((column) => column.name),
        ),
      ]);
    }
  }
}

/** Checks that no quantity has more than one column. @throws Refusal naming the competing columns. */
export function checkSingle(columns: readonly Column[], at: At): void {
  for (const role of ['lat', 'lon', 'depth', 'temperature', 'unit', 'ns', 'ew'] as const) {
    const rivals = columns.filter((column) => column.role === role);
    if (rivals.length > 1) {
      throw new Refusal([
        twoColumns(
          at,
          role,
          rivals.map((column) => column.name),
        ),
      ]);
    }
  }
}

function whyNoHeader(lines: readonly HeadLine[], options: ReaderOptions, file: string) {
  const first = lines.find((line) => line.text.trim() !== '' && !isComment(line.text)) ?? lines[0];
  if (first === undefined) return logEmpty({ file });
  const at = { file, line: first.line };
  const delimiter = DELIMITERS.reduce((a, b) =>
    roughFields(first.text, b).length > roughFields(first.text, a).length ? b : a,
  );
  const fields = roughFields(first.text, delimiter);
  if (fields.filter((field) => /^[+-]?[\d.,:]+$/.test(field)).length >= 2) return noHeader(at, first.text);
  const columns = applyMap(fields.map(readColumnName), options.map);
  const grid = columns.filter((column) => column.role === 'grid').map((column) => column.name);
  if (grid.length > 0) return projectedRefused(at, grid);
  for (const entry of options.map ?? []) {
    const [, name] = splitMap(entry);
    if (findMapped(columns, name) < 0) return mapUnknown(at, name, fields);
  }
  return headerUnknown(at, fields, missingRoles(columns));
}

/** Roles that a header still needs to be usable. */
export function missingRoles(columns: readonly Column[]): Role[] {
  const has = (role: Role) => columns.some((column) => column.role === role);
  const missing = (['lat', 'lon', 'depth'] as const).filter((role) => !has(role));
  return missing.length > 0 ? missing : ['depth'];
}
