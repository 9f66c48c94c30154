import type { Diagnostic } from '../../contract/index.ts';
import { error } from './make.ts';

/** Messages about the user's small CSV files: lure box, level readings, marks. */

export const csvMissing = (file: string, what: string, why: string): Diagnostic =>
  error('csv/unreadable', `The ${what} cannot be read (${why}). Check its path and permissions.`, {
    place: { file },
  });

export const csvForeign = (file: string, what: string, kind: string): Diagnostic =>
  error('csv/foreign', `This is ${kind}, but the ${what} must be CSV text. Export it as CSV.`, {
    place: { file },
  });

export const csvEmpty = (file: string, what: string): Diagnostic =>
  error('csv/empty', `The ${what} is empty. Give it a header line and rows, or leave it out.`, {
    place: { file },
  });

export const csvTooLarge = (file: string, what: string, bytes: number, most: number): Diagnostic =>
  error(
    'csv/too-large',
    `This file has ${bytes} bytes, and the ${what} may have ${most} at most. Is it the right file?`,
    { place: { file } },
  );

export const csvEncoding = (file: string, what: string): Diagnostic =>
  error('csv/encoding', `The first bytes of the ${what} say UTF-16, but the text is not. Save it as UTF-8.`, {
    place: { file },
  });

export const csvHeader = (
  file: string,
  line: number,
  what: string,
  missing: readonly string[],
  seen: readonly string[],
): Diagnostic =>
  error(
    'csv/header',
    `The ${what} needs a column ${missing.join(', ')}, and its header is ${seen.join(',')}. Add or rename the column.`,
    { place: { file, line } },
  );

export const csvDuplicateColumn = (file: string, line: number, name: string): Diagnostic =>
  error('csv/duplicate-column', `Two columns are called "${name}". Rename or remove one.`, {
    place: { file, line },
  });

export const csvFieldCount = (file: string, line: number, found: number, expected: number): Diagnostic =>
  error(
    'csv/fields',
    `This line has ${found} fields where the header has ${expected}. Put quotes around values that hold the separator.`,
    { place: { file, line } },
  );

export const csvQuote = (file: string, line: number): Diagnostic =>
  error('csv/quote', 'A quote is not closed or not doubled. Correct the line.', { place: { file, line } });

export const csvControl = (file: string, line: number, code: number): Diagnostic =>
  error(
    'csv/control',
    `A control byte (${code.toString(16).padStart(2, '0')}) shows that the file is damaged here. Correct the line.`,
    { place: { file, line } },
  );
