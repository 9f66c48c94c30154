import { isUtf8 } from 'node:buffer';
import { type Diagnostic, Refusal } from '../../../shared/contract/index.ts';
import { gpx as says } from '../../../shared/text/index.ts';
import { asBuffer, markedEncoding } from './encoding.ts';
import { iconv } from './iconv.ts';

/** A file's bytes after a repair, with what was repaired. */
export interface WholeFile {
  readonly bytes: Uint8Array;
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Removes a tail of NUL or FF bytes from a file when requested.
 *
 * @throws Refusal when there is such a tail and its removal was not requested.
 */
export function withoutErasedTail(bytes: Uint8Array, isAsked: boolean): WholeFile {
  if (bytes.length === 0) throw new Refusal([says.emptyFile()]);
  const value = bytes[bytes.length - 1];
  if (value !== 0 && value !== 0xff) return { bytes, diagnostics: [] };
  // In UTF-16 a NUL byte may be half of the last character.
  const width = markedEncoding(bytes)?.startsWith('utf-16') ? 2 : 1;
  let end = bytes.length;
  while (end >= width && bytes[end - 1] === value && bytes[end - width] === value) end -= width;
  const count = bytes.length - end;
  if (count === 0) return { bytes, diagnostics: [] };
  const name = value === 0 ? 'NUL' : 'FF';
  if (end === 0) throw new Refusal([says.otherFileKind(`a file of ${name} bytes only`)]);
  if (!isAsked) {
    let line = 1;
    for (let at = bytes.indexOf(0x0a); at >= 0 && at < end; at = bytes.indexOf(0x0a, at + 1)) line++;
    throw new Refusal([says.erasedTail(line, count, name)]);
  }
  return { bytes: bytes.subarray(0, end), diagnostics: [says.tailLeftOut(count, name)] };
}

const UTF8_MARK = '\u00ef\u00bb\u00bf';
const WRONG_MARKS = /^(?:\u00ff\u00fe|\u00fe\u00ff)(?=\s*<)/;
const DECLARATION = /^(\s*<\?xml\s[^>]*?encoding\s*=\s*["'])([^"']*)(["'])/;

/**
 * Bytes whose byte-order mark and declared encoding match their actual encoding. Nothing else is changed.
 *
 * A UTF-16 byte-order mark before single-byte text is removed, and so is a second UTF-8 mark. A declared encoding that
 * is unknown or wrong becomes UTF-8 if the bytes are valid UTF-8, else windows-1252, which western units write. UTF-16
 * text stays unchanged.
 */
export function repairEncoding(bytes: Uint8Array): WholeFile {
  const diagnostics: Diagnostic[] = [];
  const buffer = asBuffer(bytes);
  // In UTF-16, every other byte of markup is NUL.
  if (buffer.subarray(2, 40).includes(0)) return { bytes, diagnostics };
  let text = buffer.toString('latin1');
  if (WRONG_MARKS.test(text)) {
    text = text.slice(2);
    diagnostics.push(says.repaired(1, 'byte-order mark of UTF-16 left out: the text is not'));
  }
  while (text.startsWith(UTF8_MARK + UTF8_MARK)) {
    text = text.slice(UTF8_MARK.length);
    diagnostics.push(says.repaired(1, 'second byte-order mark left out'));
  }
  const isUnicode = isUtf8(Buffer.from(text, 'latin1'));
  const body = text.startsWith(UTF8_MARK) ? text.slice(UTF8_MARK.length) : text;
  const declared = DECLARATION.exec(body)?.[2];
  const isRight =
    declared === undefined || /^(?:utf-?8|(?:us-)?ascii)$/i.test(declared)
      ? isUnicode
      : iconv().encodingExists(declared) && !/^(?:utf|ucs|unicode)/i.test(declared);
  if (!isRight) {
    const now = isUnicode ? 'UTF-8' : 'windows-1252';
    text =
      declared === undefined
        ? `<?xml version="1.0" encoding="${now}"?>${body.replace(/^\s*<\?xml[^>]*\?>/, '')}`
        : body.replace(DECLARATION, (_, before: string, _old, after: string) => before + now + after);
    diagnostics.push(says.repaired(1, `read as ${now}, which its bytes are, not as ${declared ?? 'UTF-8'}`));
  }
  return { bytes: diagnostics.length === 0 ? bytes : Buffer.from(text, 'latin1'), diagnostics };
}
