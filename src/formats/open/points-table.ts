import { readColumnName } from '../csv/index.ts';

export interface TablePoint {
  /** Longitude, deg, WGS 84. */
  readonly lon: number;
  /** Latitude, deg, WGS 84. */
  readonly lat: number;
  /** Height or depth given with the coordinates; absent when there is none. */
  readonly z?: number;
  readonly values: Readonly<Record<string, unknown>>;
}

/**
 * Formats points as CSV text. Names, units, times and missing values are then read as in any other table.
 *
 * Columns are latitude, longitude, z when any point has a z other than 0 and no value has that name, and each
 * value under its name. Values whose names stand for a position or a datum are left out. Lists and objects
 * other than dates are left empty.
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

/** Formats rows of plain values as CSV text. A Date is written in UTC, without naming the zone. */
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

/** Formats a number without an exponent. */
const plainNumber = (value: number): string => {
  const text = String(value);
  return /e/.test(text) ? value.toFixed(12) : text;
};
