import { isUtf8 } from 'node:buffer';
import { Refusal } from '../../../shared/contract/index.ts';
import { gpx as says } from '../../../shared/text/index.ts';
import { asBuffer, badUtf8, chooseEncoding, markLength } from './encoding.ts';
import { iconv } from './iconv.ts';
import { refuseWhatIsNotXml } from './xml-head.ts';

/** Bytes inspected first: enough for the declaration and anything before the root. */
const HEAD = 1 << 16;

/**
 * A file's text in UTF-8, piece by piece, without a byte-order mark. Pieces end between characters.
 *
 * @throws Refusal for a file that is not XML, an unknown encoding, or bytes that are not valid in the encoding.
 */
export async function* decodeStream(
  chunks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
): AsyncGenerator<Uint8Array> {
  const held: Uint8Array[] = [];
  let heldLength = 0;
  let decoder: Decoder | undefined;
  const start = (): Uint8Array => {
    const head = Buffer.concat(held);
    const { encoding } = chooseEncoding(head);
    decoder = encoding === 'utf-8' ? createUtf8Decoder() : createTranscoder(encoding);
    const marked = decoder.write(head);
    const text = marked.subarray(markLength(marked));
    refuseWhatIsNotXml(head, text, 0);
    return text;
  };
  for await (const chunk of chunks) {
    for (let at = 0; at < chunk.length; at += HEAD) {
      const piece = chunk.subarray(at, at + HEAD);
      if (decoder !== undefined) yield decoder.write(asBuffer(piece));
      else {
        held.push(piece);
        heldLength += piece.length;
        if (heldLength >= HEAD) yield start();
      }
    }
  }
  if (decoder === undefined) yield start();
  const rest = decoder?.end();
  if (rest !== undefined) yield rest;
}

interface Decoder {
  /** UTF-8 of the complete characters so far. */
  write(chunk: Buffer): Uint8Array;
  /** Remaining text at the end, if any. */
  end(): Uint8Array | undefined;
}

/** Decoder that only checks UTF-8 and splits it between characters. */
function createUtf8Decoder(): Decoder {
  let carried: Buffer = Buffer.alloc(0);
  let line = 1;
  return {
    write(chunk) {
      const bytes = carried.length === 0 ? chunk : Buffer.concat([carried, chunk]);
      const end = endOfCharacters(bytes);
      const whole = bytes.subarray(0, end);
      if (!isUtf8(whole)) throw new Refusal([badUtf8(whole, line)]);
      carried = Buffer.from(bytes.subarray(end));
      for (let at = whole.indexOf(0x0a); at >= 0; at = whole.indexOf(0x0a, at + 1)) line++;
      return whole;
    },
    end() {
      if (carried.length > 0) throw new Refusal([badUtf8(carried, line)]);
      return undefined;
    },
  };
}

/** End of the last complete character, found by the lead byte of an incomplete one. */
function endOfCharacters(bytes: Uint8Array): number {
  for (let back = 1; back <= Math.min(3, bytes.length); back++) {
    const byte = bytes[bytes.length - back];
    if ((byte & 0xc0) === 0x80) continue;
    const length = byte < 0xc0 ? 1 : byte < 0xe0 ? 2 : byte < 0xf0 ? 3 : 4;
    return length > back ? bytes.length - back : bytes.length;
  }
  return bytes.length;
}

function createTranscoder(encoding: string): Decoder {
  if (encoding.startsWith('utf-16')) {
    const decoder = new TextDecoder(encoding, { fatal: true, ignoreBOM: true });
    const decode = (chunk?: Buffer): Uint8Array => {
      try {
        return Buffer.from(decoder.decode(chunk, { stream: chunk !== undefined }), 'utf8');
      } catch {
        throw new Refusal([says['encoding bytes']({ line: 1, column: 1 }, encoding.toUpperCase())]);
      }
    };
    return { write: decode, end: () => decode() };
  }
  const decoder = iconv().getDecoder(encoding);
  return {
    write: (chunk) => Buffer.from(decoder.write(chunk), 'utf8'),
    end: () => Buffer.from(decoder.end() ?? '', 'utf8'),
  };
}
