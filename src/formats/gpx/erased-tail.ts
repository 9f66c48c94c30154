import { type Diagnostic, Refusal } from '../../../shared/contract/index.ts';
import { gpx as says } from '../../../shared/text/index.ts';
import { chooseEncoding } from './encoding.ts';

/** A file's bytes without the tail that a damaged card left at the end. */
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
  const width = /^utf-16/.test(encodingOf(bytes)) ? 2 : 1;
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

function encodingOf(bytes: Uint8Array): string {
  try {
    return chooseEncoding(bytes).encoding;
  } catch {
    return 'unknown';
  }
}
