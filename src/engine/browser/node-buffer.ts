import { Buffer } from 'buffer/';

/** Replaces `node:buffer` in a browser. */
export { Buffer };

export function isUtf8(bytes: Uint8Array): boolean {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    return true;
  } catch {
    return false;
  }
}

export const isAscii = (bytes: Uint8Array): boolean => bytes.every((byte) => byte < 0x80);
