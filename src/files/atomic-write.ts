import type { OutputTarget } from './output-target.ts';
import type { TemporaryFiles } from './temporary-files.ts';

/**
 * Writes a file whole or not at all: temporary file in the same directory, fsync, rename, read back.
 *
 * @param temporary Where the temporary file is listed while it exists, so that a signal removes it.
 * @throws Refusal with the path and the system's reason; the old file is then as it was.
 */
export async function writeAtomically(
  target: OutputTarget,
  bytes: Uint8Array,
  temporary?: TemporaryFiles,
): Promise<void> {
  throw new Error(`not yet: ${target.path} ${bytes.length} ${temporary}`);
}
