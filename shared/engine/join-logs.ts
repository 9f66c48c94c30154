import { extent } from 'd3-array';
import {
  type LogSummary,
  SOUNDING_COLUMNS,
  type SoundingColumn,
  type Soundings,
  type Survey,
} from '../contract/index.ts';
import { CAN_SHARE, sharedMemory } from '../math/index.ts';

const COLUMN_NAMES = Object.keys(SOUNDING_COLUMNS) as SoundingColumn[];

/** A log to be joined into a survey: its reduced soundings, and its summary without the times. */
export interface JoinedLog extends Omit<LogSummary, 'firstTime' | 'lastTime'> {
  readonly soundings: Soundings;
}

/** Joins all logs into one survey, in shared memory if possible, so that threads need no copy. */
export function joinLogs(logs: readonly JoinedLog[]): Survey {
  const joined = joinSoundings(logs.map(({ soundings }) => soundings));
  return {
    ...joined,
    log: logColumn(logs, joined.count),
    logs: logs.map(({ soundings: { time, count }, ...log }) => {
      const [firstTime = Number.NaN, lastTime = Number.NaN] = extent(time.subarray(0, count));
      return { ...log, firstTime, lastTime };
    }),
  };
}

/** Concatenates soundings, in shared memory if possible, and renumbers passes to make them unique. */
export function joinSoundings(parts: readonly Soundings[]): Soundings {
  const count = parts.reduce((sum, part) => sum + part.count, 0);
  const withTemperature = parts.some(({ temperature }) => temperature !== undefined);
  const names = COLUMN_NAMES.filter((name) => name !== 'temperature' || withTemperature);
  const columns: Record<string, Column> = Object.fromEntries(
    names.map((name) => [name, allocate(name, count)]),
  );
  let start = 0;
  let passes = 0;
  for (const part of parts) {
    const end = start + part.count;
    for (const name of names) {
      const column = part[name];
      if (column === undefined) columns[name].fill(Number.NaN, start, end);
      else columns[name].set(column.subarray(0, part.count), start);
    }
    passes += uniquePasses(columns.pass.subarray(start, end), passes);
    start = end;
  }
  return { count, ...columns } as unknown as Soundings;
}

/** Adds `before` to each pass number. @returns The greatest number before the addition, plus 1. */
function uniquePasses(pass: Column, before: number): number {
  let greatest = -1;
  for (let row = 0; row < pass.length; row++) {
    if (pass[row] > greatest) greatest = pass[row];
    pass[row] += before;
  }
  return greatest + 1;
}

function logColumn(logs: readonly JoinedLog[], count: number): Int32Array {
  const column = new Int32Array(sharedMemory(4 * count));
  let start = 0;
  for (const [log, { soundings }] of logs.entries()) {
    column.fill(log, start, start + soundings.count);
    start += soundings.count;
  }
  return column;
}

type Column = Float64Array | Float32Array | Int32Array | Uint32Array;
type ColumnType = { new (buffer: ArrayBufferLike): Column; new (length: number): Column };

const isShared = ({ buffer }: Column): boolean => !CAN_SHARE || buffer instanceof SharedArrayBuffer;

function allocate(name: SoundingColumn, count: number): Column {
  const Type = SOUNDING_COLUMNS[name] as ColumnType & { readonly BYTES_PER_ELEMENT: number };
  return new Type(sharedMemory(Type.BYTES_PER_ELEMENT * count));
}

/** Returns the soundings without the marked rows. Columns are new arrays unless no row is marked. */
export function withoutRows<S extends Soundings>(soundings: S, marked: Uint8Array): S {
  if (!marked.includes(1)) return soundings;
  // The same array may be used under two column names.
  const shorter = new Map<Column, Column>();
  const columns = Object.entries(soundings).flatMap(([name, column]): [string, Column][] => {
    if (!ArrayBuffer.isView(column)) return [];
    const made = shorter.get(column as Column) ?? keptRows(column as Column, marked);
    shorter.set(column as Column, made);
    return [[name, made]];
  });
  const count = marked.reduce((kept, mark) => kept + 1 - mark, 0);
  return { ...soundings, ...Object.fromEntries(columns), count };
}

function keptRows(column: Column, marked: Uint8Array): Column {
  const kept = column.filter((_, row) => marked[row] === 0);
  if (!isShared(column)) return kept;
  const shared = new (column.constructor as ColumnType)(sharedMemory(kept.byteLength));
  shared.set(kept);
  return shared;
}
