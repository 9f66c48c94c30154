import type { Diagnostic } from '../../contract/index.ts';

/** Messages about the user's small CSV files: lure box, level readings, marks. */

const error = (code: string, file: string, message: string, line?: number): Diagnostic => ({
  severity: 'error',
  code: `csv/${code}`,
  message,
  place: { file, line },
});

export const csvMissing = (file: string, what: string, why: string): Diagnostic =>
  error('unreadable', file, `The ${what} cannot be read (${why}). Check its path and permissions.`);

export const csvForeign = (file: string, what: string, kind: string): Diagnostic =>
  error('foreign', file, `This is ${kind}, but the ${what} must be CSV text. Export it as CSV.`);

export const csvEmpty = (file: string, what: string): Diagnostic =>
  error('empty', file, `The ${what} is empty. Give it a header line and rows, or leave it out.`);

export const csvTooLarge = (file: string, what: string, bytes: number, most: number): Diagnostic =>
  error(
    'too-large',
    file,
    `At ${bytes} bytes this is too large for the ${what}, which may have ${most}. Is it the right file?`,
  );

export const csvEncoding = (file: string, what: string): Diagnostic =>
  error(
    'encoding',
    file,
    `The first bytes of the ${what} say UTF-16, but the text is not. Save it as UTF-8.`,
  );

export const csvHeader = (
  file: string,
  line: number,
  what: string,
  missing: readonly string[],
  seen: readonly string[],
): Diagnostic =>
  error(
    'header',
    file,
    `The ${what} needs a column ${missing.join(', ')}, and its header is ${seen.join(',')}. Add or rename the column.`,
    line,
  );

export const csvDuplicateColumn = (file: string, line: number, name: string): Diagnostic =>
  error('duplicate-column', file, `Two columns are called "${name}". Rename or remove one.`, line);

export const csvFieldCount = (file: string, line: number, found: number, expected: number): Diagnostic =>
  error(
    'fields',
    file,
    `This line has ${found} fields where the header has ${expected}. Put quotes around values that hold the separator.`,
    line,
  );

export const csvQuote = (file: string, line: number): Diagnostic =>
  error('quote', file, 'A quote is not closed or not doubled. Correct the line.', line);

export const csvControl = (file: string, line: number, code: number): Diagnostic =>
  error(
    'control',
    file,
    `A control byte (${code.toString(16).padStart(2, '0')}) shows that the file is damaged here. Correct the line.`,
    line,
  );
