import { parseNumber } from '../../../shared/text/index.ts';

/** What stands between the fields of a table. */
export type Delimiter = '\t' | ';' | ',' | ' ';

/** Fields of a line without quotes; blanks in a row are one delimiter. */
export const splitFields = (line: string, delimiter: Delimiter): string[] =>
  delimiter === ' ' ? line.trim().split(/\s+/) : line.split(delimiter).map((field) => field.trim());

/** The delimiter of a line: a tab, a semicolon, a comma, or blanks where nothing else can be one. */
export function delimiterOf(line: string): Delimiter {
  const sure = (['\t', ';'] as const).find((delimiter) => line.includes(delimiter));
  if (sure !== undefined) return sure;
  const words = splitFields(line, ' ');
  const areNumbers = words.length >= 3 && words.every((word) => !Number.isNaN(coordinateOf(word)));
  return line.includes(',') && !areNumbers ? ',' : ' ';
}

/** A number with either decimal mark; NaN for anything else. */
export const coordinateOf = (text: string): number => parseNumber(text.replace(',', '.'));

export const isBlankOrComment = (line: string): boolean => /^\s*(?:#|;|\/\/|$)/.test(line);

/** Text with line feeds between its lines, without a byte order mark. */
export const linesOf = (text: string): string => text.replace(/^\uFEFF/, '').replace(/\r\n?/g, '\n');
