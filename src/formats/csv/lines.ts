import { decodeBytes } from './encodings.ts';

/** Byte values of the line ends LF and CR. */
const LF = 10;
const CR = 13;
/** Byte that fills erased flash memory (00 is the other). */
const ERASED = 0xff;

/** Longest line accepted, bytes; lines of logs have about a hundred. */
export const LONGEST_LINE = 1024 * 1024;

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

/** One line of the beginning of a file. */
export interface HeadLine {
  readonly text: string;
  /** 1-based physical line. */
  readonly line: number;
  /** Offset of the byte after its line end. */
  readonly next: number;
}

/**
 * Lines of the first bytes of a file; line ends LF, CR LF and CR.
 *
 * @param isWhole True when the bytes are the whole file: then a last line without a line end counts too.
 */
export function headLines(bytes: Uint8Array, isWhole: boolean): readonly HeadLine[] {
  const lines: HeadLine[] = [];
  let start = 0;
  let line = 1;
  for (let i = 0; i < bytes.length; i++) {
    const byte = bytes[i];
    if (byte !== 10 && byte !== 13) continue;
    const isPair = byte === 13 && bytes[i + 1] === 10;
    // A CR at the very end of the bytes may be half a line end.
    if (byte === 13 && i + 1 === bytes.length && !isWhole) break;
    const next = i + (isPair ? 2 : 1);
    lines.push(lineOf(bytes, start, i, line++, next));
    start = next;
    i = next - 1;
  }
  if (isWhole && start < bytes.length) {
    lines.push(lineOf(bytes, start, bytes.length, line, bytes.length));
  }
  return lines;
}

/** A line that is decoded on first use, since only a few of the first hundreds are needed. */
function lineOf(bytes: Uint8Array, start: number, end: number, line: number, next: number): HeadLine {
  let text: string | undefined;
  return {
    get text() {
      text ??= decodeBytes(bytes.subarray(start, end)).text;
      return text;
    },
    line,
    next,
  };
}

/** Fields of a line without quotes. */
export const splitPlain = (text: string, delimiter: string): string[] =>
  delimiter === ' ' ? text.trim().split(/ +/) : text.split(delimiter);

/** Fields of a line for a first inspection: quotes around whole fields are removed, delimiters inside them kept. */
export function roughFields(text: string, delimiter: string): string[] {
  const isQuoted = delimiter !== ' ' && text.includes('"');
  const parts = isQuoted ? quotedParts(text, delimiter) : splitPlain(text, delimiter);
  return parts.map((part) => part.trim().replace(/^"(.*)"$/, '$1'));
}

function quotedParts(text: string, delimiter: string): string[] {
  const parts: string[] = [];
  let part = '';
  let isInside = false;
  for (const c of text) {
    if (c === '"') isInside = !isInside && part.trim() === '';
    if (c === delimiter && !isInside) {
      parts.push(part);
      part = '';
    } else part += c;
  }
  return [...parts, part];
}
