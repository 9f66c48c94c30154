import { closeSync, openSync, readSync } from 'node:fs';

/** Bytes of a log at any place. */
export interface RangeSource {
  /** Fills an array from a place on; returns bytes read: fewer only at the end. */
  readAt(into: Uint8Array, place: number): number;
  close(): void;
}

/** An open file as a source of ranges. Reads straight into the given memory: no new page is touched for a chunk. */
export function openRanges(file: string): RangeSource {
  const handle = openSync(file, 'r');
  return {
    readAt(into, place) {
      let read = 0;
      while (read < into.length) {
        const more = readSync(handle, into, read, into.length - read, place + read);
        if (more === 0) break;
        read += more;
      }
      return read;
    },
    close: () => closeSync(handle),
  };
}

/** Bytes in memory as a source of ranges. */
export const memoryRanges = (bytes: Uint8Array): RangeSource => ({
  readAt(into, place) {
    const from = bytes.subarray(place, place + into.length);
    into.set(from);
    return from.length;
  },
  close: () => {},
});
