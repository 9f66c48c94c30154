import type { Diagnostic } from '../../contract/diagnostic.ts';

/** Messages about a person's small CSV files: lure box, level readings, marks. */

const error = (code: string, file: string, message: string, line?: number): Diagnostic => ({
  severity: 'error',
  code: `csv/${code}`,
  message,
  place: { file, line },
});

export const csvMissing = (file: string, what: string, why: string): Diagnostic =>
  error(
    'unreadable',
    file,
    `Unexpected failure to open the ${what} (${why}), expected a readable CSV file. Check the path.`,
  );

export const csvForeign = (file: string, what: string, kind: string): Diagnostic =>
  error('foreign', file, `Unexpected ${kind}, expected the ${what} as CSV text. Save or export it as CSV.`);

export const csvEmpty = (file: string, what: string): Diagnostic =>
  error(
    'empty',
    file,
    `Unexpected empty file, expected the ${what} with a header line. Fill it or leave it out.`,
  );

export const csvTooLarge = (file: string, what: string, bytes: number, most: number): Diagnostic =>
  error(
    'too-large',
    file,
    `Unexpected ${bytes} bytes, expected the ${what} in at most ${most}. Is this the right file?`,
  );

export const csvEncoding = (file: string, what: string): Diagnostic =>
  error(
    'encoding',
    file,
    `Unexpected bytes that are no UTF-16 text, expected the ${what} as UTF-8. Save it as UTF-8.`,
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
    `Unexpected header ${seen.join(',')}, expected the ${what} to have ${missing.join(', ')}. Add or rename the column.`,
    line,
  );

export const csvDuplicateColumn = (file: string, line: number, name: string): Diagnostic =>
  error(
    'duplicate-column',
    file,
    `Unexpected second column "${name}", expected each name once. Rename or remove one.`,
    line,
  );

export const csvFieldCount = (file: string, line: number, found: number, expected: number): Diagnostic =>
  error(
    'fields',
    file,
    `Unexpected ${found} fields, expected ${expected} as in the header. Quote values that hold the delimiter.`,
    line,
  );

export const csvQuote = (file: string, line: number): Diagnostic =>
  error(
    'quote',
    file,
    'Unexpected quote, expected quoted values to be closed and quotes in them doubled. Mend the line.',
    line,
  );

export const csvControl = (file: string, line: number, code: number): Diagnostic =>
  error(
    'control',
    file,
    `Unexpected control byte ${code.toString(16).padStart(2, '0')}, expected text. The file is damaged here; mend the line.`,
    line,
  );
