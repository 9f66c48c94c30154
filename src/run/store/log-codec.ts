import { createHash } from 'node:crypto';
import {
  columnFromArray,
  float32,
  float64,
  int32,
  tableFromColumns,
  tableFromIPC,
  tableToIPC,
} from '@uwdata/flechette';
import { SOUNDING_COLUMNS, type SoundingColumn, type Soundings } from '../../../shared/contract/index.ts';
import type { LogEntry } from '../../../shared/engine/index.ts';

/** Identity of the log file and settings that a stored log was made from. */
export interface StoredOrigin {
  /** Length of the log file when it was read, bytes. */
  readonly size: number;
  /** Modification time (mtime) of the log file, ns since 1970. */
  readonly modified: string;
  /** Change time (ctime), ns since 1970; empty if a later change could have left the same time. */
  readonly changed: string;
  /** SHA-256 of the log's bytes. */
  readonly content: string;
  /** SHA-256 of everything else that the reduction depends on. */
  readonly reduction: string;
}

/** Version of the format. It must change whenever the layout or the meaning of a column changes. */
const VERSION = 2;
const METADATA_KEY = 'downslope-lake-store';

type ColumnArray = Float64Array | Float32Array | Int32Array;
const NAMES = Object.keys(SOUNDING_COLUMNS) as SoundingColumn[];

function arrowTypeOf(name: SoundingColumn) {
  const kind = SOUNDING_COLUMNS[name];
  return kind === Float64Array ? float64() : kind === Float32Array ? float32() : int32();
}

/**
 * Encodes a stored log as an Apache Arrow IPC file with one column per column of the soundings.
 *
 * The schema metadata holds, under METADATA_KEY, a JSON object with version, origin, account, diagnostics and
 * a SHA-256. The hash covers the object without the hash, then name, length and values of each column.
 */
export function encodeLog(log: LogEntry, origin: StoredOrigin): Uint8Array {
  const arrays = NAMES.flatMap((name): [SoundingColumn, ColumnArray][] => {
    const column = log.soundings[name];
    return column === undefined ? [] : [[name, column.slice(0, log.soundings.count)]];
  });
  const columns = arrays.map(([name, array]) => [name, columnFromArray(array, arrowTypeOf(name))]);
  const table = tableFromColumns(Object.fromEntries(columns));
  const { account, diagnostics } = log;
  const about = { version: VERSION, origin, account, diagnostics };
  table.schema.metadata = new Map([
    [METADATA_KEY, JSON.stringify({ ...about, checksum: checksum(about, arrays) })],
  ]);
  const bytes = tableToIPC(table, { format: 'file' });
  if (bytes === null) throw new Error('no bytes from the Arrow encoder');
  return bytes;
}

/**
 * Decodes a stored log, with its origin.
 *
 * @throws Error with the problem: another kind of file, another version, or a wrong checksum.
 */
export function decodeLog(bytes: Uint8Array): { readonly log: LogEntry; readonly origin: StoredOrigin } {
  const table = tableFromIPC(bytes);
  const text = table.schema.metadata?.get(METADATA_KEY);
  if (text === undefined) throw new Error('it is not a stored log');
  const { checksum: stated, ...about } = JSON.parse(text);
  if (about.version !== VERSION) throw new Error(`it is of version ${about.version}`);
  const arrays = NAMES.flatMap((name): [SoundingColumn, ColumnArray][] => {
    const column = table.getChild(name);
    if (column === undefined || column === null) return [];
    // The library returns a plain array when there are no rows.
    return [[name, table.numRows === 0 ? new SOUNDING_COLUMNS[name](0) : (column.toArray() as ColumnArray)]];
  });
  if (checksum(about, arrays) !== stated) throw new Error('its checksum is wrong');
  const soundings = { count: table.numRows, ...Object.fromEntries(arrays) } as unknown as Soundings;
  return { log: { soundings, account: about.account, diagnostics: about.diagnostics }, origin: about.origin };
}

function checksum(about: object, arrays: readonly (readonly [SoundingColumn, ColumnArray])[]): string {
  const hash = createHash('sha256').update(JSON.stringify(about));
  for (const [name, array] of arrays) {
    hash.update(`\n${name} ${array.byteLength}\n`);
    hash.update(new Uint8Array(array.buffer, array.byteOffset, array.byteLength));
  }
  return hash.digest('hex');
}
