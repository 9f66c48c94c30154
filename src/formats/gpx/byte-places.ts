import { isAscii } from 'node:buffer';
import { asBuffer } from './encoding.ts';

/**
 * Converts character positions to byte offsets in a text that arrives in pieces.
 *
 * @param start Number of bytes before the first piece.
 */
export function createBytePlaces(start: number) {
  let piece: Uint8Array = new Uint8Array(0);
  let isPlain = true;
  let firstByte = start;
  let firstChar = 0;
  let length = 0;
  const cursor = { byte: 0, char: 0 };
  return {
    /** The next piece as a string. */
    take(bytes: Uint8Array): string {
      firstByte += piece.length;
      firstChar += length;
      piece = bytes;
      isPlain = isAscii(bytes);
      const text = asBuffer(bytes).toString(isPlain ? 'latin1' : 'utf8');
      length = text.length;
      cursor.byte = 0;
      cursor.char = 0;
      return text;
    },
    /**
     * Bytes before a position in the current piece; positions must not go backward. @param char UTF-16 code units from
     * the start.
     */
    at(char: number): number {
      if (isPlain) return firstByte + char - firstChar;
      advance(cursor, piece, char - firstChar);
      return firstByte + cursor.byte;
    },
  };
}

/** Moves a cursor over UTF-8 bytes to a character position, counted in UTF-16 code units. */
function advance(cursor: { byte: number; char: number }, bytes: Uint8Array, char: number): void {
  while (cursor.char < char) {
    const lead = bytes[cursor.byte];
    const length = lead < 0x80 ? 1 : lead < 0xe0 ? 2 : lead < 0xf0 ? 3 : 4;
    cursor.byte += length;
    cursor.char += length === 4 ? 2 : 1;
  }
}
