import { Refusal, type Report } from '../../../shared/contract/index.ts';
import { pickRows } from '../../../shared/math/index.ts';
import { refusalMessages as refusals } from '../../../shared/text/index.ts';
import { readTrackPoints } from '../gpx/index.ts';
import type { ByteSource } from './byte-source.ts';

/** Fixes of tracks as columns of equal length, in order of time. */
export interface Fixes {
  readonly count: number;
  /** Seconds since 1970-01-01 UTC. */
  readonly time: Float64Array;
  /** Latitude, deg, WGS 84. */
  readonly lat: Float64Array;
  /** Longitude, deg, WGS 84. */
  readonly lon: Float64Array;
  /** Number of the track segment, unique across all files. */
  readonly segment: Int32Array;
}

/**
 * Reads the track points that have a time, in order of time. Of several points with the same time, only the
 * first is kept.
 *
 * @param sources GPX files of tracks, at least one.
 * @throws Refusal when a file cannot be read as GPX, or when no track point has a time.
 */
export async function readFixes(sources: readonly ByteSource[], report: Report): Promise<Fixes> {
  const columns = { time: [] as number[], lat: [] as number[], lon: [] as number[], segment: [] as number[] };
  let segments = 0;
  for (const source of sources) {
    let last = 0;
    const reading = readTrackPoints(source.chunks(), source.name);
    let next = await reading.next();
    for (; !next.done; next = await reading.next()) {
      for (const { time, lat, lon, segment } of next.value) {
        last = segment;
        if (Number.isNaN(time)) continue;
        columns.time.push(time);
        columns.lat.push(lat);
        columns.lon.push(lon);
        columns.segment.push(segments + segment);
      }
    }
    segments += last + 1;
    for (const diagnostic of next.value.diagnostics) report(diagnostic);
  }
  if (columns.time.length === 0) throw new Refusal([refusals['no-fixes']({ file: sources[0].name })]);
  return sortFixes(columns);
}

/** Sorts fixes by time. Of several fixes with the same time, only the first is kept. */
export function sortFixes(columns: Omit<{ [K in keyof Fixes]: Iterable<number> }, 'count'>): Fixes {
  const time = Float64Array.from(columns.time);
  const lat = Float64Array.from(columns.lat);
  const lon = Float64Array.from(columns.lon);
  const segment = Int32Array.from(columns.segment);
  const order = Array.from(time.keys())
    .sort((a, b) => time[a] - time[b] || a - b)
    .filter((row, i, rows) => i === 0 || time[row] !== time[rows[i - 1]]);
  return pickRows({ count: time.length, time, lat, lon, segment }, order);
}
