import { isUtf8 } from 'node:buffer';
import { type Diagnostic, Refusal } from '../../../shared/contract/index.ts';
import { gpxMessages as says } from '../../../shared/text/index.ts';
import { asBuffer, badUtf8, chooseEncoding, markLength } from './encoding.ts';
import { iconv } from './iconv.ts';
import { refuseWhatIsNotXml } from './xml-head.ts';

/** Size of a piece, bytes; chosen so that the first piece holds everything before the root element. */
const HEAD = 1 << 16;

/**
 * Decodes a file to UTF-8, piece by piece, without a byte-order mark. Pieces end between characters.
 *
 * @throws Refusal for a file that is empty, is not XML or has a document type, for an unknown encoding, or
 * for bytes that are invalid in UTF-8 or UTF-16.
 */
export async function* decodeStream(
  chunks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
): AsyncGenerator<Uint8Array> {
  const held: Uint8Array[] = [];
  let heldLength = 0;
  let decode: Decode | undefined;
  const start = (): Uint8Array => {
    const head = Buffer.concat(held);
    const { encoding } = chooseEncoding(head);
    decode = decoderOf(encoding);
    const marked = decode(head);
    const text = marked.subarray(markLength(marked));
    refuseWhatIsNotXml(head, text, 0);
    return text;
  };
  for await (const chunk of chunks) {
    for (let at = 0; at < chunk.length; at += HEAD) {
      const piece = chunk.subarray(at, at + HEAD);
      if (decode !== undefined) yield decode(asBuffer(piece));
      else {
        held.push(piece);
        heldLength += piece.length;
        if (heldLength >= HEAD) yield start();
      }
    }
  }
  if (decode === undefined) yield start();
  yield decode!();
}

/** Returns the characters that a chunk completes, in UTF-8. A last call without a chunk returns the rest. */
type Decode = (chunk?: Uint8Array) => Uint8Array;

function decoderOf(encoding: string): Decode {
  if (encoding === 'utf-8') return createUtf8Check();
  if (encoding.startsWith('utf-16'))
    return createUtf16Decoder(encoding, says['encoding bytes']({}, encoding.toUpperCase()));
  const decoder = iconv().getDecoder(encoding);
  return (chunk) =>
    Buffer.from(chunk === undefined ? (decoder.end() ?? '') : decoder.write(asBuffer(chunk)), 'utf8');
}

/** Creates a decoder of UTF-16 that refuses invalid bytes with `fault`. */
export function createUtf16Decoder(encoding: string, fault: Diagnostic): Decode {
  const decoder = new TextDecoder(encoding, { fatal: true, ignoreBOM: true });
  return (chunk) => {
    try {
      return Buffer.from(decoder.decode(chunk, { stream: chunk !== undefined }), 'utf8');
    } catch {
      throw new Refusal([fault]);
    }
  };
}

/** Creates a decoder of UTF-8, which only checks the bytes and splits them between characters. */
function createUtf8Check(): Decode {
  let carried: Uint8Array = Buffer.alloc(0);
  let line = 1;
  return (chunk = Buffer.alloc(0)) => {
    const bytes = carried.length === 0 ? chunk : Buffer.concat([carried, chunk]);
    const whole = bytes.subarray(0, chunk.length === 0 ? undefined : endOfCharacters(bytes));
    if (!isUtf8(whole)) throw new Refusal([badUtf8(whole, line)]);
    carried = Uint8Array.from(bytes.subarray(whole.length));
    for (let at = whole.indexOf(0x0a); at >= 0; at = whole.indexOf(0x0a, at + 1)) line++;
    return whole;
  };
}

function endOfCharacters(bytes: Uint8Array): number {
  for (let back = 1; back <= Math.min(3, bytes.length); back++) {
    const byte = bytes[bytes.length - back];
    if ((byte & 0xc0) === 0x80) continue;
    const length = byte < 0xc0 ? 1 : byte < 0xe0 ? 2 : byte < 0xf0 ? 3 : 4;
    return length > back ? bytes.length - back : bytes.length;
  }
  return bytes.length;
}
