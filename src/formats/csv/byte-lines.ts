/** Byte values of the line ends LF and CR. */
const LF = 10;
const CR = 13;
/** Byte that fills erased flash memory (00 is the other). */
const ERASED = 0xff;

/** Offsets at which a line's content ends and the next line begins. */
export function lineAt(bytes: Uint8Array, from: number): { stop: number; next: number } {
  let stop = from;
  while (stop < bytes.length && bytes[stop] !== LF && bytes[stop] !== CR) stop++;
  return { stop, next: stop + (bytes[stop] === CR && bytes[stop + 1] === LF ? 2 : 1) };
}

/** Length of a run of 00 or FF bytes. A single FF does not count, since it is a letter in windows-1252. */
export function erasedRun(bytes: Uint8Array, from: number): number {
  let to = from;
  while (to < bytes.length && (bytes[to] === 0 || bytes[to] === ERASED)) to++;
  return to - from === 1 && bytes[from] === ERASED ? 0 : to - from;
}

/** Offset after the last line end; 0 when there is none. */
export function lastLineEndOf(bytes: Uint8Array): number {
  return Math.max(bytes.lastIndexOf(LF), bytes.lastIndexOf(CR)) + 1;
}

/** Number of bytes up to the last line end. A CR as the very last byte does not count, since an LF may follow. */
export function completeLines(bytes: Uint8Array): number {
  const afterLf = bytes.lastIndexOf(LF) + 1;
  const cr = bytes.subarray(afterLf, Math.max(afterLf, bytes.length - 1)).lastIndexOf(CR);
  return afterLf + cr + 1;
}
