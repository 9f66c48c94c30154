import { Refusal } from '../../../shared/contract/index.ts';
import { refusalMessages as refusals } from '../../../shared/text/index.ts';
import { type Column, plainColumnName, type Role, readColumnName } from './column-names.ts';

/** Roles that `--map` can give a column. */
export const MAPPABLE = 'lat lon depth time date temperature unit ns ew datum valid ignore'.split(
  ' ',
) as readonly Role[];

type ColumnMap = readonly string[] | undefined;

/**
 * Gives columns the roles that `--map` states. Any other column with one of these roles is then ignored,
 * except that several columns may have the role `valid`. A mapped depth also makes elevation columns ignored.
 */
export function applyMap(columns: readonly Column[], map: ColumnMap): Column[] {
  const result = [...columns];
  for (const [role, name] of entriesOf(map)) {
    const target = findNamed(columns, name);
    if (target < 0) continue;
    for (let i = 0; i < result.length; i++) {
      const isRival =
        (result[i].role === role && role !== 'ignore' && role !== 'valid') ||
        (role === 'depth' && result[i].role === 'elevation');
      if (isRival && i !== target) result[i] = { ...result[i], role: 'ignore' };
    }
    result[target] = { ...readColumnName(columns[target].name), role };
  }
  return result;
}

export const unknownName = (columns: readonly Column[], map: ColumnMap): string | undefined =>
  entriesOf(map).find(([, name]) => findNamed(columns, name) < 0)?.[1];

/** Splits entries `ROLE=NAME`. @throws Refusal (status 2) for an entry of another form. */
function entriesOf(map: ColumnMap): [role: Role, name: string][] {
  return (map ?? []).map((entry) => {
    const at = entry.indexOf('=');
    const role = entry.slice(0, Math.max(at, 0)).trim().toLowerCase() as Role;
    const name = entry.slice(at + 1).trim();
    if (!MAPPABLE.includes(role) || name === '')
      throw new Refusal([refusals['map form']({}, entry, MAPPABLE)], 2);
    return [role, name];
  });
}

/** Finds a column by exact name, by number (`#1` is the first), or as `findPlain` does; -1 for none. */
function findNamed(columns: readonly Column[], name: string): number {
  const exact = columns.findIndex((column) => column.name === name);
  if (exact >= 0) return exact;
  if (/^#\d{1,3}$/.test(name)) return columns.findIndex((_, i) => name === `#${i + 1}`);
  return findPlain(columns, name);
}

/** Finds the first column whose name has the same letters and digits, ignoring case; -1 for none. */
export const findPlain = (columns: readonly Column[], name: string): number =>
  plainColumnName(name) === ''
    ? -1
    : columns.findIndex((column) => plainColumnName(column.name) === plainColumnName(name));
