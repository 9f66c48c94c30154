import { decodeBytes } from './encodings.ts';

/** Bytes of the characters with a meaning in a log. */
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
  const end = isWhole ? bytes.length : completeLines(bytes);
  for (let at = 0; at < end; at = lines.at(-1)!.next) {
    const { stop, next } = lineAt(bytes, at);
    const { text } = decodeBytes(bytes.subarray(at, stop));
    lines.push({ text, line: lines.length + 1, next: Math.min(next, bytes.length) });
  }
  return lines;
}

export const isComment = (text: string): boolean => /^\s*(?:#|;|\/\/)/.test(text) && !/^\s*;+\s*$/.test(text);

/** The first line that is neither blank nor a comment. */
export const firstContent = (lines: readonly HeadLine[]): HeadLine | undefined =>
  lines.find(({ text }) => text.trim() !== '' && !isComment(text));

/** Fields of a line without quotes. */
export const splitPlain = (text: string, delimiter: string): string[] =>
  delimiter === ' ' ? text.trim().split(/ +/) : text.split(delimiter);

/**
 * Fields of a line in which quotes may enclose delimiters, doubled quotes and line ends. A quote opens only at the start
 * of a field (RFC 4180), after white space or not; elsewhere it is an ordinary character. A damaged field is given as
 * written.
 *
 * @returns `fault`: the first fault; `open` when a quote is not closed, `broken` when text follows a closed one.
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

/** The delimiter that gives the most fields; the first one wins a tie. */
export const widestDelimiter = (text: string, delimiters: readonly string[]): string =>
  delimiters.reduce((a, b) => (roughFields(text, b).length > roughFields(text, a).length ? b : a));

/** A field without white space and quotes around it. */
export const bareField = (field: string): string => field.trim().replace(/^"(.*)"$/, '$1');

/** Fields of a line for a first inspection, without quotes around them. */
export function roughFields(text: string, delimiter: string): string[] {
  const isQuoted = delimiter !== ' ' && text.includes('"');
  return (isQuoted ? splitQuoted(text, delimiter).fields : splitPlain(text, delimiter)).map(bareField);
}
