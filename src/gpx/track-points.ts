import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';

/** Track points as parallel columns; `count` of each are filled. */
export interface TrackPointBatch {
  readonly count: number;
  /** deg. */
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  /** Seconds since 1970-01-01 UTC; NaN without a time. */
  readonly time: Float64Array;
  /** m, positive down; NaN without a depth. */
  readonly depth: Float64Array;
  /** 0-based, counted over all tracks of the file; a new segment is a new pass. */
  readonly segment: Int32Array;
  /** 1-based line of the point's start tag. */
  readonly line: Uint32Array;
}

export interface TrackPointSummary {
  readonly points: number;
  readonly segments: number;
  readonly withDepth: number;
  readonly withTime: number;
  /** Points left out for coordinates that cannot be used. */
  readonly dropped: number;
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Reads the track points of a GPX file in one pass, in batches.
 *
 * @param chunks The file's bytes in order (a read stream or an array).
 * @param onBatch Gets each batch; its arrays are used again after it returns.
 * @throws Refusal as `readGpx` does.
 */
export async function readTrackPoints(
  chunks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
  file: string,
  onBatch: (batch: TrackPointBatch) => void,
): Promise<TrackPointSummary> {
  for await (const _ of chunks) onBatch({} as TrackPointBatch);
  throw new Error(`not yet: ${file}`);
}
