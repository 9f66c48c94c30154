import { type ReaderPlugin, Refusal } from '../../../shared/contract/index.ts';
import { pluginThrew } from '../../../shared/text/index.ts';

/** First bytes that a reader is shown. */
export const HEAD_BYTES = 64 * 1024;

/** Whether a reader takes an input; a failure is said in its name. */
export function takes(reader: ReaderPlugin, head: Uint8Array, file: string): boolean {
  try {
    return reader.sniff(head, file);
  } catch (cause) {
    throw failureOf(reader.name, cause);
  }
}

/** What a reader threw, as a refusal in its name. */
export const failureOf = (reader: string, cause: unknown): Refusal =>
  cause instanceof Refusal ? cause : new Refusal([pluginThrew(reader, cause, 'run')]);
