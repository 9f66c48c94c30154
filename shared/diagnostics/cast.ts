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

export const bandUnknown = (): Diagnostic =>
  warning(
    'fish/band',
    'Found no depth range in the text, no --fish-depth and no depth of the waypoint; fish band and casts left out. Write a range such as "fish 12-18 ft" or pass --fish-depth 12-18ft.',
  );
