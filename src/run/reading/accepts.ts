import { type ReaderPlugin, Refusal } from '../../../shared/contract/index.ts';
import { pluginThrew } from '../../../shared/text/index.ts';

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

/** An error that a reader threw, as a refusal under the reader's name. */
export const failureOf = (reader: string, cause: unknown): Refusal =>
  cause instanceof Refusal ? cause : new Refusal([pluginThrew(reader, cause, 'run')]);
