import type { Diagnostic } from '../../contract/index.ts';
import type { At } from './soundings.ts';

/** Of a log as a whole, at its first row. */
export const outOfOrder = (place: At): Diagnostic => ({
  severity: 'warning',
  code: 'soundings/time-order',
  message: 'Rows are not in time order (newest first?). They were sorted by time.',
  place,
});
