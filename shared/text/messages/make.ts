import type { Diagnostic, Place, Repair, Severity } from '../../contract/index.ts';

type About = Omit<Diagnostic, 'severity' | 'code' | 'message'>;

const ofSeverity =
  (severity: Severity) =>
  (code: string, message: string, about: About = {}): Diagnostic => ({ severity, code, message, ...about });

export const error = ofSeverity('error');
export const warning = ofSeverity('warning');
export const note = ofSeverity('note');

/** Position in a file: file and physical line. */
export type At = Pick<Place, 'file' | 'line' | 'column'>;

/** A place in a file, whose name is added by the one who opened it. */
export const at = (line?: number, column?: number): Place => ({ line, column });

const inLog =
  (severity: Severity) =>
  (code: string, repair?: Repair) =>
  (place: At, message: string): Diagnostic => ({
    ...ofSeverity(severity)(`soundings/${code}`, message, { place }),
    ...(repair === undefined ? {} : { repair }),
  });

/** Messages about a place in a sounding log. */
export const logError = inLog('error');
export const logWarning = inLog('warning');
export const logNote = inLog('note');
