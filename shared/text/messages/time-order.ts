import type { Diagnostic } from '../../contract/diagnostic.ts';
import type { At } from './soundings.ts';

/** Of a log as a whole, at its first row. */
export const outOfOrder = (place: At): Diagnostic => ({
  severity: 'warning',
  code: 'soundings/time-order',
  message:
    'Unexpected rows in another order than that of their times, such as newest first; expected times to rise. Put in order of time.',
  place,
});
