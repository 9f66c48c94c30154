import type { Diagnostic } from '../../contract/index.ts';
import type { At } from './soundings.ts';

/** Applies to a whole log and is placed at its first row. */
export const outOfOrder = (place: At): Diagnostic => ({
  severity: 'warning',
  code: 'soundings/time-order',
  message: 'Rows are not in time order (newest first?). They were sorted by time.',
  place,
});
