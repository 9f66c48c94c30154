import type { GpxDocument } from './gpx-document.ts';

export interface ReadGpxOptions {
  /** Cuts a tail of NUL or FF bytes, and an element that the file ends inside of, with a warning. */
  readonly salvage?: boolean;
}

/**
 * Reads a GPX file in one pass.
 *
 * @param file Path as the person gave it, for messages.
 * @throws Refusal with file, line and column when the file cannot be read and written back without loss.
 */
export function readGpx(bytes: Uint8Array, file: string, options: ReadGpxOptions = {}): GpxDocument {
  throw new Error(`not yet: ${bytes.length} ${file} ${options.salvage}`);
}
