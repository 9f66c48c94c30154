import { type Diagnostic, Refusal } from '../../shared/contract/diagnostic.ts';
import type { RowAccount, SoundingLog } from '../../shared/contract/soundings.ts';
import { memorySource } from '../../src/formats/csv/byte-source.ts';
import { defaultReaderOptions, type ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { readCsvSoundings } from '../../src/formats/csv/sounding-logs.ts';

/** One row as read, with its depth rounded to 0.1 mm. */
export interface ReadRow {
  readonly lat: number;
  readonly lon: number;
  readonly depth: number;
  readonly time: number;
  readonly temperature: number;
  readonly line: number;
}

/** All results of reading one log. */
export interface ReadResult {
  readonly rows: readonly ReadRow[];
  readonly parts: readonly SoundingLog[];
  readonly account?: RowAccount;
  readonly diagnostics: readonly Diagnostic[];
  /** Codes of warnings and notes, without their area, in the order reported. */
  readonly codes: readonly string[];
  readonly refusal?: Diagnostic;
}

/** Reads a log given as text or bytes under the name log.csv. */
export async function readText(
  text: string | Uint8Array,
  changes: Partial<ReaderOptions> = {},
  chunkBytes = 1 << 19,
  partBytes?: number,
): Promise<ReadResult> {
  const bytes = typeof text === 'string' ? Buffer.from(text, 'utf8') : text;
  const diagnostics: Diagnostic[] = [];
  const parts: SoundingLog[] = [];
  const source = memorySource('log.csv', bytes, chunkBytes);
  const reading = readCsvSoundings(
    source,
    defaultReaderOptions(changes),
    (d) => diagnostics.push(d),
    partBytes,
  );
  const codes = () => diagnostics.map((diagnostic) => diagnostic.code.replace('soundings/', ''));
  try {
    let next = await reading.next();
    while (!next.done) {
      parts.push(next.value);
      next = await reading.next();
    }
    return { rows: parts.flatMap(rowsOf), parts, account: next.value, diagnostics, codes: codes() };
  } catch (cause) {
    if (!(cause instanceof Refusal)) throw cause;
    return { rows: [], parts, diagnostics, codes: codes(), refusal: cause.diagnostics[0] };
  }
}

function rowsOf(part: SoundingLog): ReadRow[] {
  return Array.from({ length: part.count }, (_, i) => ({
    lat: part.lat[i],
    lon: part.lon[i],
    depth: Math.round(part.depth[i] * 1e4) / 1e4,
    time: part.time[i],
    temperature: part.temperature?.[i] ?? Number.NaN,
    line: part.line[i],
  }));
}

/** Returns rows of a good log: a boat running northeast at idle speed, with depths in m to two decimals. */
export function goodRows(count: number, from = 0): string[] {
  return Array.from({ length: count }, (_, i) => {
    const k = from + i;
    return `${(59.5 + k * 1e-5).toFixed(6)},${(24.5 + k * 2e-5).toFixed(6)},${(3.25 + (k % 40) * 0.05).toFixed(2)}`;
  });
}

export const HEADER = 'lat,lon,depth_m';

/** Returns a good log of 20 rows, with extra lines inserted after the first 10. */
export const goodLogWith = (...lines: string[]): string =>
  `${[HEADER, ...goodRows(10), ...lines, ...goodRows(10, 10)].join('\n')}\n`;
