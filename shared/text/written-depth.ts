import type { LengthUnit } from '../geo/units.ts';

/** Units of depth by the way people write them. */
const UNITS: readonly (readonly [LengthUnit, string])[] = [
  ['ft', "feet|foot|ft(?![a-z])\\.?|['\u2018\u2019\u2032\u00b4`]"],
  ['m', 'met(?:er|re)s?|mtrs?(?![a-z])\\.?|m(?![a-z])\\.?'],
  ['fm', 'fathoms?|fms?(?![a-z])\\.?'],
];

/** Pattern of a unit of depth. */
export const DEPTH_UNIT = UNITS.map(([, pattern]) => `(?:${pattern})`).join('|');

/** Pattern of a number that may be a depth. */
export const NUMBER = '\\d{1,3}(?:[.,]\\d{1,2})?(?!\\d)';

/** Number of a text that matches `NUMBER`. */
export const numberOf = (text: string): number => Number(text.replace(',', '.'));

/** Unit of a text that matches `DEPTH_UNIT`; undefined for any other. */
export const depthUnitOf = (text: string | undefined): LengthUnit | undefined =>
  text === undefined
    ? undefined
    : UNITS.find(([, pattern]) => new RegExp(`^(?:${pattern})$`, 'i').test(text))?.[0];
