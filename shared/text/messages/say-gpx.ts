import type { Diagnostic, Place, Severity } from '../../contract/index.ts';

/** A diagnostic about a GPX file. */
export const say = (
  severity: Severity,
  code: string,
  message: string,
  place: Place,
  count?: number,
): Diagnostic => ({
  severity,
  code: `gpx/${code}`,
  message,
  place,
  ...(count === undefined ? {} : { count }),
});

/** A place in a file. */
export const at = (file: string, line?: number, column?: number): Place => ({ file, line, column });

/** Text for a message: quoted, control characters visible, cut at 40 characters. */
export const quote = (text: string): string =>
  JSON.stringify(text.length > 40 ? `${text.slice(0, 37)}...` : text);
