import { Refusal } from '../../../shared/contract/index.ts';
import { type At, mapMalformed, mapUnknown } from '../../../shared/text/index.ts';
import { type Column, plainColumnName, type Role, readColumnName } from './column-names.ts';

/** Roles that a user may give a column. */
export const MAPPABLE: readonly Role[] = [
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
export function splitMap(entry: string): [role: Role, name: string] {
  const at = entry.indexOf('=');
  const role = entry.slice(0, Math.max(at, 0)).trim().toLowerCase() as Role;
  if (at < 1 || !MAPPABLE.includes(role) || entry.slice(at + 1).trim() === '') {
    throw new Refusal([mapMalformed(entry, MAPPABLE)], 2);
  }
  return [role, entry.slice(at + 1).trim()];
}

/** Index of a column by exact name, else by letters and digits alone, else by `#NUMBER`. */
export function findMapped(columns: readonly Column[], name: string): number {
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

export function checkMap(columns: readonly Column[], map: readonly string[] | undefined, at: At): void {
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
