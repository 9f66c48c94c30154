import { isUtf8 } from 'node:buffer';
import { type Diagnostic, Refusal } from '../../../shared/contract/index.ts';
import { gpxMessages as says } from '../../../shared/text/index.ts';
import { iconv } from './iconv.ts';

interface EncodingChoice {
  /** Name of the encoding in iconv-lite. */
  readonly encoding: string;
  readonly diagnostics: readonly Diagnostic[];
}

interface DecodedFile extends EncodingChoice {
  readonly utf8: Uint8Array;
}

/** Encodings that are not for text (base64), or not certain to give back the same bytes (UTF-7). */
const NOT_KEPT = /^(utf-?7|utf7.*|unicode-?1-?1-?utf-?7|base64|hex|binary|cesu-?8)$/i;
/** Encodings that a file cannot have when its XML declaration is readable as ASCII. */
const NOT_ASCII = /^(utf-?32|ucs-?4|utf-?16|ucs-?2|utf16.*|ucs2.*)$/i;

/** True for an encoding that an XML declaration may name when the first bytes show no encoding. */
export const isKeptEncoding = (declared: string): boolean =>
  !NOT_KEPT.test(declared) && !NOT_ASCII.test(declared) && iconv().encodingExists(declared);

/**
 * Chooses the encoding by the byte-order mark, else by the first bytes, else by the XML declaration. The
 * default is UTF-8.
 *
 * @throws Refusal when the choice depends on a declared encoding that is not kept.
 */
export function chooseEncoding(head: Uint8Array): EncodingChoice {
  const mark = markedEncoding(head);
  const declared = declaredEncoding(head, mark);
  if (mark !== undefined) {
    const agrees = declared === undefined || isSameFamily(declared, mark);
    return {
      encoding: mark,
      diagnostics: agrees ? [] : [says['encoding mark']({ line: 1 }, declared, mark)],
    };
  }
  if (declared === undefined || /^(utf-?8|us-ascii|ascii)$/i.test(declared))
    return { encoding: 'utf-8', diagnostics: [] };
  if (NOT_ASCII.test(declared)) throw new Refusal([says['encoding wrong']({ line: 1 }, declared)]);
  if (!isKeptEncoding(declared)) throw new Refusal([says['encoding unknown']({ line: 1 }, declared)]);
  return { encoding: declared.toLowerCase(), diagnostics: [] };
}

/** Returns the encoding that the byte-order mark or the first bytes show; undefined when neither does. */
export function markedEncoding(head: Uint8Array): string | undefined {
  const [a, b, c, d] = head;
  if (a === 0xef && b === 0xbb && c === 0xbf) return 'utf-8';
  if (a === 0xff && b === 0xfe) return c === 0 && d === 0 ? 'utf-32le' : 'utf-16le';
  if (a === 0xfe && b === 0xff) return 'utf-16be';
  if (a === 0x3c && b === 0 && c !== 0) return 'utf-16le';
  if (a === 0 && b === 0x3c) return 'utf-16be';
  return undefined;
}

function declaredEncoding(head: Uint8Array, mark: string | undefined): string | undefined {
  let text = Buffer.from(head.subarray(0, 400)).toString('latin1');
  if (mark?.startsWith('utf-16')) text = text.replaceAll('\0', '');
  return /^[^<]{0,8}<\?xml\s[^>]*?encoding\s*=\s*["']([^"']*)["']/.exec(text)?.[1];
}

const isSameFamily = (declared: string, mark: string): boolean =>
  declared
    .toLowerCase()
    .replace('-', '')
    .startsWith(mark.replace('-', '').slice(0, mark.startsWith('utf-8') ? 4 : 5));

/**
 * Decodes a file to UTF-8, keeping any byte-order mark.
 *
 * @throws Refusal for an unknown or unsupported encoding, and with line and column for bytes that are invalid
 * or would change when written back.
 */
export function decodeFile(bytes: Uint8Array): DecodedFile {
  const choice = chooseEncoding(bytes);
  if (choice.encoding === 'utf-8') {
    if (!isUtf8(bytes)) throw new Refusal([badUtf8(bytes)]);
    return { utf8: bytes, ...choice };
  }
  if (choice.encoding === 'utf-32le') throw new Refusal([says['encoding utf-32']({})]);
  if (choice.encoding.startsWith('utf-16')) return { utf8: decodeUtf16(bytes, choice.encoding), ...choice };
  return decodeLegacy(bytes, choice);
}

function decodeUtf16(bytes: Uint8Array, encoding: string): Uint8Array {
  try {
    return Buffer.from(new TextDecoder(encoding, { fatal: true, ignoreBOM: true }).decode(bytes), 'utf8');
  } catch {
    const text = new TextDecoder(encoding, { ignoreBOM: true }).decode(bytes);
    const bad = text.indexOf('\uFFFD');
    const place = endPlace(bad < 0 ? text : text.slice(0, bad));
    throw new Refusal([says['encoding bytes'](place, encoding.toUpperCase())]);
  }
}

function decodeLegacy(bytes: Uint8Array, choice: EncodingChoice): DecodedFile {
  const buffer = asBuffer(bytes);
  const read = (encoding: string) => {
    const text = iconv().decode(buffer, encoding, { stripBOM: false });
    return { utf8: Buffer.from(text, 'utf8'), again: iconv().encode(text, encoding) };
  };
  // Bytes 80 to 9F are control characters in ISO-8859-1, which no text needs, but mostly printable in
  // windows-1252.
  const isLatin = /^(iso-?8859-?1|iso_8859-1|latin-?1)$/.test(choice.encoding);
  if (isLatin && bytes.some((byte) => byte >= 0x80 && byte <= 0x9f)) {
    const { utf8, again } = read('windows-1252');
    if (again.equals(buffer))
      return { utf8, encoding: 'windows-1252', diagnostics: [says['encoding latin-1']({ line: 1 })] };
  }
  const { utf8, again } = read(choice.encoding);
  if (again.equals(buffer)) return { utf8, ...choice };
  let i = 0;
  while (i < again.length && again[i] === buffer[i]) i++;
  const kept = iconv().decode(buffer.subarray(0, i), choice.encoding);
  throw new Refusal([says['encoding not-kept'](endPlace(kept), choice.encoding)]);
}

/** Encodes UTF-8 text in the file's own encoding; the inverse of `decodeFile`. */
export function encodeFile(utf8: Uint8Array, encoding: string): Uint8Array {
  if (encoding === 'utf-8') return utf8;
  const text = asBuffer(utf8).toString('utf8');
  if (encoding === 'utf-16le') return Buffer.from(text, 'utf16le');
  if (encoding === 'utf-16be') return Buffer.from(text, 'utf16le').swap16();
  return iconv().encode(text, encoding);
}

export function canEncode(text: string, encoding: string): boolean {
  // Every supported encoding contains ASCII; otherwise its declaration could not have been read.
  if (encoding.startsWith('utf-') || /^[\0-\x7f]*$/.test(text)) return true;
  return iconv().decode(iconv().encode(text, encoding), encoding) === text;
}

/**
 * Returns a diagnostic at the first byte that is not UTF-8.
 *
 * @param line 1-based line on which the bytes begin.
 */
export function badUtf8(bytes: Uint8Array, line = 1): Diagnostic {
  for (let start = 0, at = line; ; at++) {
    const end = bytes.indexOf(0x0a, start) + 1 || bytes.length;
    const text = bytes.subarray(start, end);
    if (!isUtf8(text)) {
      const column = new TextDecoder('utf-8', { ignoreBOM: true }).decode(text).indexOf('\uFFFD') + 1;
      return says['encoding bytes']({ line: at, column }, 'UTF-8');
    }
    start = end;
  }
}

/** Returns the 1-based line and column just after the end of a text. */
export function endPlace(text: string): { readonly line: number; readonly column: number } {
  const lines = text.split(/\r\n|\r|\n/);
  return { line: lines.length, column: lines[lines.length - 1].length + 1 };
}

/** Returns the length of the byte-order mark of a UTF-8 text, 3 or 0 bytes. */
export const markLength = ([a, b, c]: Uint8Array): number => (a === 0xef && b === 0xbb && c === 0xbf ? 3 : 0);

/** Returns the same bytes as a Buffer, without copying. */
export const asBuffer = (bytes: Uint8Array): Buffer =>
  Buffer.isBuffer(bytes) ? bytes : Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
