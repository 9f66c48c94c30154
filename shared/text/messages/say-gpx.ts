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

/** A place in a file, whose name is added by the one who opened it. */
export const at = (line?: number, column?: number): Place => ({ line, column });
