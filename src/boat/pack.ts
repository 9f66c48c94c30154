import { deflateSync, inflateSync } from 'fflate';

/** Deflates bytes and returns them as base64 text. Runs only in Node; the page only unpacks. */
export const pack = (bytes: Uint8Array): string =>
  Buffer.from(deflateSync(bytes, { level: 9 })).toString('base64');

export const unpack = (text: string): Uint8Array =>
  inflateSync(Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0)));

export const packText = (text: string): string => pack(new TextEncoder().encode(text));
export const unpackText = (packed: string): string => new TextDecoder().decode(unpack(packed));

/**
 * Packs the differences between successive whole numbers. Neighboring depths are similar, so most differences
 * are near 0. All low bytes come before all high bytes, because runs of similar bytes deflate better.
 */
export function packNumbers(values: Int16Array): string {
  const steps = values.map((value, at) => value - (values[at - 1] ?? 0));
  const bytes = new Uint8Array(2 * steps.length);
  bytes.set(steps);
  bytes.set(
    steps.map((step) => step >> 8),
    steps.length,
  );
  return pack(bytes);
}

export function unpackNumbers(text: string): Int16Array {
  const bytes = unpack(text);
  const count = bytes.length / 2;
  let value = 0;
  return new Int16Array(count).map((_, at) => {
    value += bytes[at] | (bytes[count + at] << 8);
    return value;
  });
}
