import { Refusal } from '../../../shared/contract/index.ts';
import { gpxMessages as says } from '../../../shared/text/index.ts';
import { asBuffer, endPlace } from './encoding.ts';
import { malformation } from './malformations.ts';

/** Kinds of files that may be named .gpx by mistake, by bytes at an offset. */
const MAGIC: readonly (readonly [offset: number, bytes: string, kind: string])[] = [
  [0, '\x1f\x8b', 'a gzip file'],
  [0, 'BZh', 'a bzip2 file'],
  [0, 'PK\x03\x04', 'a zip file'],
  [0, '7z\xbc\xaf\x27\x1c', 'a 7z archive'],
  [0, '\xfd7zXZ', 'an xz file'],
  [0, '\x28\xb5\x2f\xfd', 'a zstd file'],
  [0, '\xff\xd8\xff', 'a JPEG picture'],
  [0, '\x89PNG', 'a PNG picture'],
  [0, 'GIF8', 'a GIF picture'],
  [0, '%PDF', 'a PDF document'],
  [257, 'ustar', 'a tar archive'],
];

/** Refuses a file whose first bytes show that it is not text. */
export function refuseOtherKind(bytes: Uint8Array): void {
  const head = asBuffer(bytes).toString('latin1', 0, 512);
  for (const [offset, magic, kind] of MAGIC)
    if (head.startsWith(magic, offset)) throw new Refusal([says['not-gpx']({}, kind)]);
}

/**
 * Refuses a file that is empty, is not XML, or has a document type.
 *
 * @param bytes Bytes as in the file.
 * @param utf8 The same text in UTF-8.
 * @param start Offset of the text in `utf8`, after any byte-order mark.
 */
export function refuseWhatIsNotXml(bytes: Uint8Array, utf8: Uint8Array, start: number): void {
  refuseOtherKind(bytes);
  const head = asBuffer(utf8).toString('utf8', start, start + 1000);
  const text = head.trimStart();
  if (text === '' && utf8.subarray(start).every((byte) => byte <= 0x20)) {
    throw new Refusal([says.empty({})]);
  }
  if (head.startsWith('\uFEFF')) throw new Refusal([says['xml mark']({ line: 1, column: 2 })]);
  if (!text.startsWith('<')) {
    if (/<(?:\?xml|gpx)\s/.test(text)) throw new Refusal([malformation({ line: 1 }, 'text data outside')]);
    const isJson = text.startsWith('{') || text.startsWith('[');
    throw new Refusal([says['not-gpx']({}, isJson ? 'JSON' : 'plain text')]);
  }
  refuseDoctype(utf8, start);
}

/**
 * Refuses a document type before any of it is read.
 *
 * Only comments, processing instructions and white space may come before a document type.
 */
function refuseDoctype(utf8: Uint8Array, start: number): void {
  const buffer = asBuffer(utf8);
  let at = start;
  for (;;) {
    while (at < utf8.length && utf8[at] <= 0x20) at++;
    const head = buffer.toString('latin1', at, at + 9);
    const end = head.startsWith('<?') ? '?>' : head.startsWith('<!--') ? '-->' : undefined;
    if (end === undefined) {
      if (/^<!DOCTYPE/i.test(head)) throw new Refusal([doctypeAt(buffer, start, at)]);
      return;
    }
    const found = buffer.indexOf(end, at);
    if (found < 0) return;
    at = found + end.length;
  }
}

function doctypeAt(utf8: Buffer, start: number, at: number) {
  if (/^\s+html/i.test(utf8.toString('latin1', at + 9, at + 20))) return says['not-gpx']({}, 'an HTML page');
  return says.doctype(endPlace(utf8.toString('utf8', start, at)));
}
