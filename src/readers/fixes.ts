import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';

/** Fixes of one or more tracks as parallel columns, ascending in time; `segment` changes where a track is broken. */
export interface Fixes {
  readonly count: number;
  /** Seconds since 1970-01-01 UTC. */
  readonly time: Float64Array;
  /** deg, WGS 84. */
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  readonly segment: Int32Array;
}

/**
 * Fixes of all track points that have a time, in order of time.
 *
 * @param files GPX files of tracks.
 * @throws Refusal when a file cannot be read as GPX, or no track point has a time.
 */
export async function readFixes(files: readonly string[], report: (d: Diagnostic) => void): Promise<Fixes> {
  void report;
  void files;
  throw new Error('being written');
}
