import type { Diagnostic } from './diagnostic.ts';

const warning = (code: string, message: string): Diagnostic => ({ severity: 'warning', code, message });

export const declinationUnknownDay = (day: string): Diagnostic =>
  warning(
    'magnetic/day',
    `Unexpected date ${day}, expected a day from 2014-12-15 to 2029-11-12, which the magnetic models cover. Magnetic bearings are left out; use the true ones.`,
  );

export const declinationUnknownPlace = (): Diagnostic =>
  warning(
    'magnetic/pole',
    'Found a place too near a magnetic pole, need a horizontal field of 2000 nT or more for a compass. Magnetic bearings are left out; use the true ones.',
  );
