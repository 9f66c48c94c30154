import { parseNumber } from '../csv/numbers.ts';

/** Delimiters that tables have, in the order in which the first of equals wins. */
const DELIMITERS = ['\t', ';', ',', ' '] as const;
export type Delimiter = (typeof DELIMITERS)[number];

/** Fields of a line without quotes; blanks in a row are one delimiter. */
export const fieldsOf = (line: string, delimiter: Delimiter): string[] =>
  delimiter === ' ' ? line.trim().split(/\s+/) : line.split(delimiter).map((field) => field.trim());

/** The delimiter that makes most fields of a line. */
export const delimiterOf = (line: string): Delimiter =>
  DELIMITERS.reduce((best, other) =>
    fieldsOf(line, other).length > fieldsOf(line, best).length ? other : best,
  );

/** A number with either decimal mark; NaN for anything else. */
export const coordinateOf = (text: string): number => parseNumber(text.replace(',', '.'));

export const isComment = (line: string): boolean => /^\s*(?:#|;|\/\/|$)/.test(line);

/** Text with line feeds between its lines, without a byte order mark. */
export const linesOf = (text: string): string => text.replace(/^\uFEFF/, '').replace(/\r\n?/g, '\n');
