import { decodeBytes } from './encodings.ts';

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

/** Fields of a line for a first inspection: quotes around whole fields are removed, delimiters inside them kept. */
export function roughFields(text: string, delimiter: string): string[] {
  const parts =
    delimiter === ' '
      ? text.trim().split(/ +/)
      : text.includes('"')
        ? quotedParts(text, delimiter)
        : text.split(delimiter);
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
