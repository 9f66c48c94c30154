import { decodeBytes } from './encodings.ts';

export const LF = 10;
export const CR = 13;
export const SPACE = 32;
export const QUOTE = 34;
export const PLUS = 43;
export const COMMA = 44;
export const MINUS = 45;
export const POINT = 46;
export const SLASH = 47;
export const COLON = 58;
export const LETTER_T = 84;
export const LETTER_Z = 90;
/** Byte that fills erased flash memory; some memories are filled with 00 instead. */
const ERASED = 0xff;

/** Maximum length of a line, bytes; judgment. Typical lines of logs have fewer than 100 bytes. */
export const LONGEST_LINE = 1024 * 1024;

/** Finds where the content of the line at `from` stops and where the next line begins. */
export function lineAt(bytes: Uint8Array, from: number): { stop: number; next: number } {
  let stop = from;
  while (stop < bytes.length && bytes[stop] !== LF && bytes[stop] !== CR) stop++;
  return { stop, next: stop + (bytes[stop] === CR && bytes[stop + 1] === LF ? 2 : 1) };
}

/** Counts consecutive 00 and FF bytes from `from` on; 0 for a single FF, which is ÿ in windows-1252. */
export function erasedRun(bytes: Uint8Array, from: number): number {
  let to = from;
  while (to < bytes.length && (bytes[to] === 0 || bytes[to] === ERASED)) to++;
  return to - from === 1 && bytes[from] === ERASED ? 0 : to - from;
}

/** Returns the offset after the last line end; 0 when there is none. */
export function lastLineEndOf(bytes: Uint8Array): number {
  return Math.max(bytes.lastIndexOf(LF), bytes.lastIndexOf(CR)) + 1;
}

/** Returns the offset after the last line end. A final CR does not count, since an LF may follow. */
export function completeLines(bytes: Uint8Array): number {
  const afterLf = bytes.lastIndexOf(LF) + 1;
  const cr = bytes.subarray(afterLf, Math.max(afterLf, bytes.length - 1)).lastIndexOf(CR);
  return afterLf + cr + 1;
}

export interface HeadLine {
  readonly text: string;
  /** Number of the physical line, 1-based. */
  readonly line: number;
  /** Offset of the next line, bytes. */
  readonly next: number;
}

/**
 * Splits the first bytes of a file into lines, which end in LF, CR LF or CR.
 *
 * @param isWhole True when the bytes are the whole file. A last line without a line end then counts too.
 */
export function headLines(bytes: Uint8Array, isWhole: boolean): readonly HeadLine[] {
  const lines: HeadLine[] = [];
  const end = isWhole ? bytes.length : completeLines(bytes);
  for (let at = 0; at < end; at = lines.at(-1)!.next) {
    const { stop, next } = lineAt(bytes, at);
    const { text } = decodeBytes(bytes.subarray(at, stop));
    lines.push({ text, line: lines.length + 1, next: Math.min(next, bytes.length) });
  }
  return lines;
}

export const isComment = (text: string): boolean => /^\s*(?:#|;|\/\/)/.test(text) && !/^\s*;+\s*$/.test(text);

export const firstContent = (lines: readonly HeadLine[]): HeadLine | undefined =>
  lines.find(({ text }) => text.trim() !== '' && !isComment(text));

/** Splits a line into fields, even inside quotes. If blanks separate fields, several count as one. */
export const splitPlain = (text: string, delimiter: string): string[] =>
  delimiter === ' ' ? text.trim().split(/ +/) : text.split(delimiter);

/**
 * Splits a line into fields. Quotes may enclose delimiters, doubled quotes and line ends. A quoted field
 * begins with a quote (RFC 4180), which white space may precede. Elsewhere a quote is an ordinary character.
 * A damaged field is returned as written.
 *
 * @returns `fault`: the first fault; `open` for a quote not closed, `broken` for text after a closing quote.
 */
export function splitQuoted(
  text: string,
  delimiter: string,
): { readonly fields: string[]; readonly fault?: 'open' | 'broken' } {
  const fields: string[] = [];
  let fault: 'open' | 'broken' | undefined;
  const afterSpace = (at: number): number => {
    while (at < text.length && text[at] !== delimiter && /\s/.test(text[at])) at++;
    return at;
  };
  const endOfField = (at: number): number => {
    const to = text.indexOf(delimiter, at);
    return to < 0 ? text.length : to;
  };
  for (let from = 0, to = 0; from <= text.length; from = to + 1) {
    const start = afterSpace(from);
    to = endOfField(start);
    if (text[start] !== '"') {
      fields.push(text.slice(from, to));
      continue;
    }
    let close = text.indexOf('"', start + 1);
    while (close >= 0 && text[close + 1] === '"') close = text.indexOf('"', close + 2);
    to = close < 0 ? text.length : endOfField(close);
    const isWhole = close >= 0 && afterSpace(close + 1) === to;
    if (!isWhole) fault ??= close < 0 ? 'open' : 'broken';
    fields.push(isWhole ? text.slice(start + 1, close).replaceAll('""', '"') : text.slice(from, to));
  }
  return { fields, fault };
}

/** Returns the delimiter that gives the most fields; the first in the list wins a tie. */
export const widestDelimiter = (text: string, delimiters: readonly string[]): string =>
  delimiters.reduce((a, b) => (roughFields(text, b).length > roughFields(text, a).length ? b : a));

export const bareField = (field: string): string => field.trim().replace(/^"(.*)"$/, '$1');

/** Splits a line into fields and removes the quotes around them. Faulty quotes are not reported. */
export function roughFields(text: string, delimiter: string): string[] {
  const isQuoted = delimiter !== ' ' && text.includes('"');
  return (isQuoted ? splitQuoted(text, delimiter).fields : splitPlain(text, delimiter)).map(bareField);
}
