import { type DisplayUnits, fromMeters } from './units.ts';

/**
 * Lengths in messages. A message is written once, in meters, and shown in the user's units. A no-break space
 * between number and unit marks a length to be converted.
 */

/** Writes a length, m, for a message. Users who chose feet see it in feet. */
export const inMeters = (meters: number, decimals = 0): string => `${meters.toFixed(decimals)}\u00a0m`;

/** Writes a distance, m, for a message, in whole kilometers. Users who chose feet see it in miles. */
export const inKilometers = (meters: number): string => `${Math.round(meters / 1000)}\u00a0km`;

/** Writes a distance, m, for a message: in meters, and from 5 km on in kilometers. */
export const inMetersOrKilometers = (meters: number): string =>
  meters < 5000 ? inMeters(meters) : inKilometers(meters);

const LENGTH = /(-?\d+(?:\.(\d+))?)\u00a0(km|m)\b/g;

/** Minimum length, ft, that is rounded to tens of feet if it was given in whole meters. */
const TENS_FROM = 50;

/** Converts the marked lengths of a message to the user's units. */
export function inUnits(message: string, units: DisplayUnits): string {
  return message.replace(LENGTH, (_, number: string, decimals: string | undefined, unit: 'km' | 'm') => {
    if (units === 'm') return `${number} ${unit}`;
    if (unit === 'km') return `${fromMeters(Number(number) * 1000, 'mi').toFixed(0)} mi`;
    return `${feetText(fromMeters(Number(number), 'ft'), decimals !== undefined)} ft`;
  });
}

/** Returns the marked lengths of a message, in order, m. */
export const lengthsOf = (message: string): number[] =>
  [...message.matchAll(LENGTH)].map(([, number, , unit]) => Number(number) * (unit === 'km' ? 1000 : 1));

/** Writes a length in feet. @param isFine True for tenths, because the length in meters had decimals. */
function feetText(feet: number, isFine: boolean): string {
  const text = isFine
    ? feet.toFixed(1)
    : String(Math.abs(feet) < TENS_FROM ? Math.round(feet) : 10 * Math.round(feet / 10));
  return text === '-0.0' || text === '-0' ? text.slice(1) : text;
}
