import type { ReaderPlugin } from '../../../shared/contract/index.ts';
import { failureOf } from '../../../shared/engine/index.ts';

/** Number of bytes at the start of a file that `sniff` gets. */
export const HEAD_BYTES = 64 * 1024;

/** True when a reader accepts an input; errors that it throws are reported under the reader's name. */
export function accepts(reader: ReaderPlugin, head: Uint8Array, file: string): boolean {
  try {
    return reader.sniff(head, file);
  } catch (cause) {
    throw failureOf(reader.name, cause);
  }
}
