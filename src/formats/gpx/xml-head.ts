import { Refusal } from '../../../shared/contract/index.ts';
import { gpx as says } from '../../../shared/text/index.ts';
import { asBuffer } from './encoding.ts';
import { otherKind, otherText } from './file-kind.ts';

/** Refuses a file whose first bytes show that it is not text. */
export function refuseOtherKind(bytes: Uint8Array): void {
  const kind = otherKind(bytes);
  if (kind !== undefined) throw new Refusal([says.otherFileKind(kind)]);
}

/**
 * Refuses a file that is empty, is not XML, or has a document type.
 *
 * @param bytes Bytes as in the file. @param utf8 The same text in UTF-8. @param start Offset of the text in `utf8`,
 * after any byte-order mark.
 */
export function refuseWhatIsNotXml(bytes: Uint8Array, utf8: Uint8Array, start: number): void {
  refuseOtherKind(bytes);
  const head = asBuffer(utf8).toString('utf8', start, start + 1000);
  if (head.trim() === '' && utf8.subarray(start).every((byte) => byte <= 0x20)) {
    throw new Refusal([says.emptyFile()]);
  }
  if (head.startsWith('\uFEFF')) throw new Refusal([says.secondByteOrderMark()]);
  const kind = otherText(head);
  if (kind !== undefined) throw new Refusal([says.otherFileKind(kind)]);
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
  if (/^\s+html/i.test(utf8.toString('latin1', at + 9, at + 20))) return says.otherFileKind('an HTML page');
  const before = utf8.toString('utf8', start, at).split(/\r\n|\r|\n/);
  return says.doctype(before.length, before[before.length - 1].length + 1);
}
