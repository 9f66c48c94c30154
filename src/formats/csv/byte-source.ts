import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { Refusal } from '../../../shared/contract/index.ts';
import { refusalMessages as refusals } from '../../../shared/text/index.ts';

/** An input that yields its bytes in chunks. Every input except a pipe can be read more than once. */
export interface ByteSource {
  /** Name of the input, for messages. */
  readonly name: string;
  readonly size: number;
  chunks(): AsyncIterable<Uint8Array>;
}

/** Size of a chunk, bytes; chosen so that the work between two chunks is negligible. */
const CHUNK_BYTES = 512 * 1024;

/**
 * Makes a source of a file. Its `chunks` end with a Refusal if the file has changed since this call.
 *
 * @throws Refusal when the file is missing or is a folder, and from `chunks` when it cannot be read.
 */
export async function fileSource(file: string): Promise<ByteSource> {
  const before = await statOf(file);
  return {
    name: file,
    size: before.size,
    async *chunks() {
      let read = 0;
      try {
        for await (const chunk of createReadStream(file, {
          highWaterMark: CHUNK_BYTES,
        }) as AsyncIterable<Buffer>) {
          read += chunk.length;
          yield chunk;
        }
      } catch (cause) {
        if (cause instanceof Refusal) throw cause;
        throw new Refusal([refusals.unreadable({ file }, reasonOf(cause as Error))]);
      }
      if (!before.isFile) return;
      const after = await statOf(file);
      const isSame = read === before.size && after.size === before.size && after.mtimeMs === before.mtimeMs;
      if (!isSame) throw new Refusal([refusals.changed({ file })]);
    },
  };
}

/** Makes a source of bytes in memory. @param chunkBytes Size of a chunk, bytes. */
export function memorySource(name: string, bytes: Uint8Array, chunkBytes = CHUNK_BYTES): ByteSource {
  return {
    name,
    size: bytes.length,
    async *chunks() {
      for (let at = 0; at < bytes.length; at += chunkBytes) yield bytes.subarray(at, at + chunkBytes);
    },
  };
}

async function statOf(file: string): Promise<{ size: number; mtimeMs: number; isFile: boolean }> {
  try {
    const found = await stat(file);
    if (found.isDirectory()) throw Object.assign(new Error('a folder'), { code: 'EISDIR' });
    return { size: found.size, mtimeMs: found.mtimeMs, isFile: found.isFile() };
  } catch (cause) {
    throw new Refusal([refusals.unreadable({ file }, reasonOf(cause as Error))]);
  }
}

const reasonOf = ({ code, message }: NodeJS.ErrnoException): string => code ?? message;
