import { readColumnName } from '../csv/index.ts';

/** A point with what is told about it. */
export interface TablePoint {
  /** deg, WGS 84. */
  readonly lon: number;
  readonly lat: number;
  /** Height or depth given with the coordinates, if any. */
  readonly z?: number;
  readonly values: Readonly<Record<string, unknown>>;
}

/**
 * Points as CSV text, so that names, units, times and marks for no value are understood as in any table.
 *
 * Columns: latitude, longitude, z where any point has one other than 0, and each value by its name; but not those that
 * would name the position again. Values that are no plain ones are left empty.
 */
export function pointsTable(points: readonly TablePoint[]): Uint8Array {
  const names = new Set(points.flatMap(({ values }) => Object.keys(values)));
  const columns = [...names].filter((name) => !POSITION.has(readColumnName(name).role));
  const hasZ = points.some(({ z }) => z !== undefined && z !== 0) && !columns.includes('z');
  const header = ['latitude', 'longitude', ...(hasZ ? ['z'] : []), ...columns];
  const rows = points.map(({ lat, lon, z, values }) => [
    lat,
    lon,
    ...(hasZ ? [z] : []),
    ...columns.map((name) => values[name]),
  ]);
  return tableBytes([header, ...rows]);
}

const POSITION: ReadonlySet<string> = new Set(['lat', 'lon', 'ns', 'ew', 'x', 'y', 'grid', 'datum']);

/** Rows of plain values as CSV text; a time stands as it is on its clock, without a zone. */
export const tableBytes = (rows: readonly (readonly unknown[])[]): Uint8Array =>
  new TextEncoder().encode(rows.map((row) => `${row.map(cell).join(',')}\n`).join(''));

function cell(value: unknown): string {
  if (value instanceof Date)
    return Number.isNaN(value.getTime()) ? '' : value.toISOString().slice(0, 23).replace('T', ' ');
  if (typeof value === 'number') return Number.isFinite(value) ? plainNumber(value) : '';
  if (typeof value === 'boolean') return `${value}`;
  if (typeof value !== 'string') return '';
  const line = value.replace(/[\0-\x1f\x7f]+/g, ' ');
  return /[",;]/.test(line) ? `"${line.replaceAll('"', '""')}"` : line;
}

/** All digits of a number, without a power of ten. */
const plainNumber = (value: number): string => {
  const text = String(value);
  return /e/.test(text) ? value.toFixed(12) : text;
};
