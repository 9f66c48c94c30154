import { Buffer } from 'buffer/';

/** What takes the place of `node:buffer` on a page. */
export { Buffer };

/** Whether bytes are UTF-8. */
export function isUtf8(bytes: Uint8Array): boolean {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    return true;
  } catch {
    return false;
  }
}

/** Whether bytes are ASCII. */
export const isAscii = (bytes: Uint8Array): boolean => bytes.every((byte) => byte < 0x80);
