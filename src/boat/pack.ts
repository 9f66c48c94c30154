import { deflateSync, inflateSync } from 'fflate';

/** Bytes as base64 text, deflated. */
export function pack(bytes: Uint8Array): string {
  const small = deflateSync(bytes, { level: 9 });
  let text = '';
  for (let at = 0; at < small.length; at += CHUNK)
    text += String.fromCharCode(...small.subarray(at, at + CHUNK));
  return btoa(text);
}

/** Reverses `pack`. */
export const unpack = (text: string): Uint8Array =>
  inflateSync(Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0)));

/** Packs a text; below, its inverse. */
export const packText = (text: string): string => pack(new TextEncoder().encode(text));
export const unpackText = (packed: string): string => new TextDecoder().decode(unpack(packed));

/** Number of arguments that every JavaScript engine accepts in one call. */
const CHUNK = 8192;

/**
 * Packed differences between successive whole numbers. Neighboring depths are similar, so most differences are near 0.
 *
 * All low bytes come before all high bytes: runs of similar bytes deflate to a third of the size.
 */
export function packNumbers(values: Int16Array): string {
  const bytes = new Uint8Array(2 * values.length);
  for (let at = 0; at < values.length; at++) {
    const step = (values[at] - (at === 0 ? 0 : values[at - 1])) & 0xffff;
    bytes[at] = step & 0xff;
    bytes[values.length + at] = step >> 8;
  }
  return pack(bytes);
}

/** Reverses `packNumbers`. */
export function unpackNumbers(text: string): Int16Array {
  const bytes = unpack(text);
  const values = new Int16Array(bytes.length / 2);
  for (let at = 0; at < values.length; at++) {
    const step = bytes[at] | (bytes[values.length + at] << 8);
    values[at] = (at === 0 ? 0 : values[at - 1]) + step;
  }
  return values;
}
