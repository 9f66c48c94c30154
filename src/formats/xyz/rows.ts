import { parseNumber } from '../../../shared/text/index.ts';

export type Delimiter = '\t' | ';' | ',' | ' ';

/** Splits a line into trimmed fields; quotes stay. If blanks separate fields, several count as one. */
export const splitFields = (line: string, delimiter: Delimiter): string[] =>
  delimiter === ' ' ? line.trim().split(/\s+/) : line.split(delimiter).map((field) => field.trim());

/** Finds the delimiter of a line: a tab, a semicolon, a comma that is not a decimal mark, or else blanks. */
export function delimiterOf(line: string): Delimiter {
  const sure = (['\t', ';'] as const).find((delimiter) => line.includes(delimiter));
  if (sure !== undefined) return sure;
  const words = splitFields(line, ' ');
  const areNumbers = words.length >= 3 && words.every((word) => !Number.isNaN(coordinateOf(word)));
  return line.includes(',') && !areNumbers ? ',' : ' ';
}

/** Reads a number with a decimal point or comma; NaN for anything else. */
export const coordinateOf = (text: string): number => parseNumber(text.replace(',', '.'));

export const isBlankOrComment = (line: string): boolean => /^\s*(?:#|;|\/\/|$)/.test(line);

/** Changes line ends to LF and removes a byte-order mark. */
export const linesOf = (text: string): string => text.replace(/^\uFEFF/, '').replace(/\r\n?/g, '\n');
