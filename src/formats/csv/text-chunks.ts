import { Refusal } from '../../../shared/contract/index.ts';
import { logEncoding } from '../../../shared/text/index.ts';
import type { ByteSource } from './byte-source.ts';
import type { FileSniff } from './encodings.ts';

/**
 * Bytes of a source as UTF-8 without a byte order mark; UTF-16 is converted on the way.
 *
 * Bytes in windows-1252 pass through unchanged: the characters of numbers are the same in both encodings.
 * @throws Refusal when UTF-16 cannot be decoded.
 */
export async function* textChunks(source: ByteSource, sniff: FileSniff): AsyncGenerator<Uint8Array> {
  let skip = sniff.bom;
  const decoder = sniff.encoding.startsWith('utf-16')
    ? new TextDecoder(sniff.encoding, { fatal: true, ignoreBOM: true })
    : undefined;
  const decode = (bytes?: Uint8Array): Uint8Array => {
    try {
      return Buffer.from(
        bytes === undefined ? decoder!.decode() : decoder!.decode(bytes, { stream: true }),
        'utf8',
      );
    } catch {
      throw new Refusal([logEncoding({ file: source.name })]);
    }
  };
  for await (let chunk of source.chunks()) {
    if (skip > 0) {
      const cut = Math.min(skip, chunk.length);
      chunk = chunk.subarray(cut);
      skip -= cut;
    }
    if (chunk.length === 0) continue;
    yield decoder === undefined ? chunk : decode(chunk);
  }
  if (decoder !== undefined) {
    const rest = decode();
    if (rest.length > 0) yield rest;
  }
}

/** The first bytes of a text, up to a given number, gathered from its chunks. */
export async function headOf(
  chunks: AsyncIterable<Uint8Array>,
  most: number,
): Promise<{ bytes: Uint8Array; isWhole: boolean }> {
  const parts: Uint8Array[] = [];
  let length = 0;
  for await (const chunk of chunks) {
    // A copy, since a source may reuse its memory.
    parts.push(Uint8Array.from(chunk));
    length += chunk.length;
    if (length > most) return { bytes: Buffer.concat(parts).subarray(0, most), isWhole: false };
  }
  return { bytes: Buffer.concat(parts), isWhole: true };
}
