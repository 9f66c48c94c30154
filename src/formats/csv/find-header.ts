import { Refusal } from '../../../shared/contract/index.ts';
import { soundingRefusals as refusals } from '../../../shared/text/index.ts';
import { applyMap, checkMap, findMapped, MAPPABLE, splitMap } from './column-map.ts';
import { type Column, type Role, readColumnName } from './column-names.ts';
import { type HeadLine, roughFields } from './lines.ts';
import type { ReaderOptions } from './reader-options.ts';

/** Lines searched for a header. */
const MAX_PREAMBLE = 50;

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
export function findHeader(lines: readonly HeadLine[], options: ReaderOptions): Header {
  const hint = /^(?:﻿)?"?sep=(.)"?$/i.exec(lines[0]?.text ?? '');
  const delimiters = hint === null ? DELIMITERS : [hint[1]];
  const first = hint === null ? 0 : 1;
  if (options.columns !== undefined) return statedColumns(lines, first, options.columns, delimiters);
  let best: { header: Header; line: HeadLine } | undefined;
  for (let i = first; i < Math.min(lines.length, MAX_PREAMBLE) && best === undefined; i++) {
    const text = stripComment(lines[i].text);
    let most = 1;
    for (const delimiter of delimiters) {
      const columns = applyMap(roughFields(text, delimiter).map(readColumnName), options.map);
      const known = columns.filter((column) => column.role !== 'ignore').length;
      if (!isUsableHeader(columns) || known <= most) continue;
      // A comment may name the columns, or only mention them.
      if (text !== lines[i].text && fieldsAfter(lines, i, delimiter) < columns.length) continue;
      most = known;
      best = { header: { delimiter, columns, index: i }, line: lines[i] };
    }
  }
  if (best === undefined) throw new Refusal([whyNoHeader(lines.slice(first), options)]);
  checkMap(best.header.columns, options.map, { line: best.line.line });
  return best.header;
}

/** Fields of the first line after a place that is neither blank nor a comment; infinite when there is none. */
function fieldsAfter(lines: readonly HeadLine[], at: number, delimiter: string): number {
  const row = lines.slice(at + 1).find(({ text }) => text.trim() !== '' && !isComment(text));
  return row === undefined ? Number.POSITIVE_INFINITY : roughFields(row.text, delimiter).length;
}

/** Removes a comment mark, which may precede a header. */
const stripComment = (text: string): string => text.replace(/^\uFEFF?\s*(?:#|;|\/\/)\s*/, '');

function statedColumns(
  lines: readonly HeadLine[],
  first: number,
  stated: readonly string[],
  delimiters: readonly string[],
): Header {
  const columns = stated.map(
    (name): Column => (name === '-' ? { name, role: 'ignore' } : readColumnName(name)),
  );
  for (const column of columns) {
    if (column.name !== '-' && column.role === 'ignore')
      throw new Refusal([refusals.mapMalformed(column.name, [...MAPPABLE, '-'])], 2);
  }
  const sample = lines.slice(first).find((line) => line.text.trim() !== '' && !isComment(line.text));
  if (sample === undefined) throw new Refusal([refusals.logEmpty({})]);
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

function whyNoHeader(lines: readonly HeadLine[], options: ReaderOptions) {
  const first = lines.find((line) => line.text.trim() !== '' && !isComment(line.text)) ?? lines[0];
  if (first === undefined) return refusals.logEmpty({});
  const at = { line: first.line };
  const delimiter = DELIMITERS.reduce((a, b) =>
    roughFields(first.text, b).length > roughFields(first.text, a).length ? b : a,
  );
  const fields = roughFields(first.text, delimiter);
  if (fields.filter((field) => /^[+-]?[\d.,:]+$/.test(field)).length >= 2)
    return refusals.noHeader(at, first.text);
  const columns = applyMap(fields.map(readColumnName), options.map);
  const grid = columns.filter((column) => column.role === 'grid').map((column) => column.name);
  if (grid.length > 0) return refusals.projectedRefused(at, grid);
  for (const entry of options.map ?? []) {
    const [, name] = splitMap(entry);
    if (findMapped(columns, name) < 0) return refusals.mapUnknown(at, name, fields);
  }
  return refusals.headerUnknown(at, fields, missingRoles(columns));
}

/** Roles that a header still needs to be usable. */
export function missingRoles(columns: readonly Column[]): Role[] {
  const has = (role: Role) => columns.some((column) => column.role === role);
  const missing = (['lat', 'lon', 'depth'] as const).filter((role) => !has(role));
  return missing.length > 0 ? missing : ['depth'];
}
