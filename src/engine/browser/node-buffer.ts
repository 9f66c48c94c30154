import { Buffer } from 'buffer/';

/** Replaces `node:buffer` in a browser. */
export { Buffer };

/** True when the bytes are valid UTF-8. */
export function isUtf8(bytes: Uint8Array): boolean {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    return true;
  } catch {
    return false;
  }
}

/** True when the bytes are ASCII. */
export const isAscii = (bytes: Uint8Array): boolean => bytes.every((byte) => byte < 0x80);
