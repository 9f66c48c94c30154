import type { SoundingLog } from '../../../shared/contract/index.ts';
import { TIME_FORMS, type TimeForm } from '../../../shared/text/index.ts';

/** Columns of a log part while rows are added; only the first `count` entries are filled. */
export type RowColumns = ReturnType<typeof createRowColumns>;

export const createRowColumns = (capacity: number) => ({
  ...emptyColumns(capacity),
  count: 0,
  /** True when the rows have temperatures. Otherwise the part gets no temperature column. */
  hasTemperature: false,
});

const emptyColumns = (capacity: number) => ({
  lat: new Float64Array(capacity),
  lon: new Float64Array(capacity),
  depth: new Float32Array(capacity),
  /** Seconds since 1970, or since midnight for a time of day; NaN when absent. */
  time: new Float64Array(capacity),
  temperature: new Float32Array(capacity),
  line: new Uint32Array(capacity),
});

/** Makes room for `more` rows; replaces the columns with longer arrays if necessary. */
export function reserveRows(rows: RowColumns, more: number): void {
  const needed = rows.count + more;
  if (needed <= rows.lat.length) return;
  const capacity = Math.max(needed, Math.ceil(rows.lat.length * 1.6));
  const columns = emptyColumns(capacity);
  for (const name of Object.keys(columns) as (keyof typeof columns)[]) columns[name].set(rows[name]);
  Object.assign(rows, columns);
}

/** Copies the rows into a part of a log. The columns can then be refilled from index 0. */
export function toLogPart(rows: RowColumns, file: string, part: number): SoundingLog {
  const { count } = rows;
  const depth = rows.depth.slice(0, count);
  return {
    file,
    part,
    count,
    lat: rows.lat.slice(0, count),
    lon: rows.lon.slice(0, count),
    depth,
    time: rows.time.slice(0, count),
    pass: new Int32Array(count),
    weight: new Float32Array(count).fill(1),
    shallowest: depth.slice(),
    line: rows.line.slice(0, count),
    ...(rows.hasTemperature ? { temperature: rows.temperature.slice(0, count) } : {}),
  };
}

/** Counts and facts that are noted while rows are read, for messages about the log. */
export type ScanNotes = ReturnType<typeof createScanNotes>;

export const createScanNotes = (line: number) => ({
  /** Number of the physical line to read next, 1-based. */
  line,
  /** Maximum number of decimals in any latitude or longitude; a value not in plain degrees counts as 7. */
  decimals: 0,
  lf: 0,
  crlf: 0,
  cr: 0,
  /** True when the byte scanner has skipped bytes that are not ASCII; reset by `readLines`. */
  hasHighBytes: false,
  /** Number of the first line with a quoted decimal comma in a comma-separated file; 0 when there is none. */
  quotedDecimalLine: 0,
  /** Number of stored rows by the form of their time. */
  forms: Object.fromEntries(TIME_FORMS.map((form) => [form, 0])) as Record<TimeForm, number>,
});
