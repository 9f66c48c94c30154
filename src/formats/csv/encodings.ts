import { isUtf8 } from 'node:buffer';
import { refusalMessages as refusals } from '../../../shared/text/index.ts';
import { createUtf16Decoder } from '../gpx/index.ts';
import type { ByteSource } from './byte-source.ts';

type TextEncoding = 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252';

export interface FileSniff {
  /** Kind of a file that is not a table in text: "a gzip file". */
  readonly foreign?: string;
  readonly encoding: TextEncoding;
  /** Length of the byte order mark, bytes. */
  readonly bom: number;
  /** True for UTF-16 recognized without a byte order mark. */
  readonly guessed: boolean;
}

/** First bytes of files that are sometimes renamed to .csv. Source: the specifications of the formats. */
const MAGIC: readonly (readonly [bytes: readonly number[], kind: string])[] = [
  [[0x1f, 0x8b], 'a gzip file'],
  [[0x50, 0x4b, 0x03, 0x04], 'a zip file (perhaps a spreadsheet)'],
  [[0x50, 0x4b, 0x05, 0x06], 'an empty zip file'],
  [[0xff, 0xd8, 0xff], 'a JPEG picture'],
  [[0x89, 0x50, 0x4e, 0x47], 'a PNG picture'],
  [[0x25, 0x50, 0x44, 0x46], 'a PDF document'],
  [[0x42, 0x5a, 0x68], 'a bzip2 file'],
  [[0xfd, 0x37, 0x7a, 0x58, 0x5a], 'an xz file'],
  [[0x37, 0x7a, 0xbc, 0xaf], 'a 7z file'],
  [[0xd0, 0xcf, 0x11, 0xe0], 'an old spreadsheet or document file'],
  [[0x7f, 0x45, 0x4c, 0x46], 'a program file'],
  [[0x53, 0x51, 0x4c, 0x69, 0x74, 0x65], 'a database file'],
];

/**
 * Finds the kind and encoding of a file from its first bytes: 512 or more, or the whole of a shorter file.
 *
 * UTF-16 without a byte order mark is recognized when every second byte of the first 64 is 0, as in English
 * text.
 */
export function sniffBytes(head: Uint8Array): FileSniff {
  const starts = (bytes: readonly number[]) => bytes.every((byte, i) => head[i] === byte);
  const foreign = MAGIC.find(([bytes]) => starts(bytes))?.[1];
  if (foreign !== undefined) return { foreign, encoding: 'utf-8', bom: 0, guessed: false };
  if (starts([0xef, 0xbb, 0xbf])) return { ...markup(head, 3), encoding: 'utf-8', bom: 3, guessed: false };
  if (starts([0xff, 0xfe])) return { encoding: 'utf-16le', bom: 2, guessed: false };
  if (starts([0xfe, 0xff])) return { encoding: 'utf-16be', bom: 2, guessed: false };
  const wide = wideBytes(head.subarray(0, Math.min(64, head.length & ~1)));
  if (wide !== undefined) return { encoding: wide, bom: 0, guessed: true };
  return { ...markup(head, 0), encoding: 'utf-8', bom: 0, guessed: false };
}

/** Recognizes UTF-16 in which every character has one 0 byte; undefined for other bytes or fewer than 8. */
function wideBytes(head: Uint8Array): TextEncoding | undefined {
  const zeros = (half: 0 | 1): number => head.filter((byte, i) => i % 2 === half && byte === 0).length;
  const [even, odd, pairs] = [zeros(0), zeros(1), head.length / 2];
  if (pairs < 4) return undefined;
  if (odd === pairs && even === 0) return 'utf-16le';
  return even === pairs && odd === 0 ? 'utf-16be' : undefined;
}

/** Recognizes HTML, XML and JSON, which are sometimes saved under the name of a table. */
function markup(head: Uint8Array, bom: number): { foreign?: string } {
  const text = new TextDecoder('windows-1252').decode(head.subarray(bom, bom + 512)).trimStart();
  if (/^<!doctype html|^<html/i.test(text)) return { foreign: 'an HTML page' };
  if (/^<\?xml|^<[a-z][\w:.-]*[\s>/]/i.test(text)) return { foreign: 'an XML file' };
  if (/^[[{]\s*("|\{|\[|\d|\})/.test(text)) return { foreign: 'a JSON file' };
  return {};
}

/**
 * Decodes bytes as UTF-8, or as windows-1252 when they are not valid UTF-8. The two encodings agree on ASCII
 * and therefore on numbers.
 */
export function decodeBytes(bytes: Uint8Array): { text: string; encoding: TextEncoding } {
  if (isUtf8(bytes))
    return {
      text: Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length).toString('utf8'),
      encoding: 'utf-8',
    };
  return { text: new TextDecoder('windows-1252').decode(bytes), encoding: 'windows-1252' };
}

/**
 * Yields the text of a source in UTF-8 without a byte order mark. UTF-16 is converted.
 *
 * Text in windows-1252 passes through unchanged, because its numbers have the same bytes in UTF-8.
 * @throws Refusal when UTF-16 cannot be decoded.
 */
export async function* textChunks(source: ByteSource, sniff: FileSniff): AsyncGenerator<Uint8Array> {
  const chunks = withoutFirst(source.chunks(), sniff.bom);
  if (!sniff.encoding.startsWith('utf-16')) return yield* chunks;
  const decode = createUtf16Decoder(sniff.encoding, refusals.encoding({}));
  for await (const chunk of chunks) yield decode(chunk);
  yield decode();
}

export async function* withoutFirst(
  chunks: AsyncIterable<Uint8Array>,
  bytes: number,
): AsyncGenerator<Uint8Array> {
  let left = bytes;
  for await (const chunk of chunks) {
    if (chunk.length > left) yield chunk.subarray(left);
    left = Math.max(0, left - chunk.length);
  }
}

/** Gathers the first bytes of a text, `most` or fewer. `isWhole` is true when the text has no more bytes. */
export async function headOf(
  chunks: AsyncIterable<Uint8Array>,
  most: number,
): Promise<{ bytes: Uint8Array; isWhole: boolean }> {
  const parts: Uint8Array[] = [];
  let length = 0;
  for await (const chunk of chunks) {
    // Copied because a source may reuse the memory of a chunk.
    parts.push(Uint8Array.from(chunk));
    length += chunk.length;
    if (length > most) return { bytes: Buffer.concat(parts).subarray(0, most), isWhole: false };
  }
  return { bytes: Buffer.concat(parts), isWhole: true };
}
