import { type DisplayUnits, fromMeters } from './units.ts';

/**
 * Lengths in messages. A message is written once, in meters, and shown in the user's units: a no-break space
 * between number and unit marks a length that may be converted.
 */

/** A length for a message, in meters; shown in feet to a user who reads feet. */
export const inMeters = (meters: number, decimals = 0): string => `${meters.toFixed(decimals)}\u00a0m`;

/** A distance for a message, in whole kilometers; shown in miles to a user who reads feet. */
export const inKilometers = (meters: number): string => `${Math.round(meters / 1000)}\u00a0km`;

const LENGTH = /(-?\d+(?:\.(\d+))?)\u00a0(km|m)\b/g;

/** From this many feet up, a length without decimals is rounded to ten feet: whole meters are no finer. */
const TENS_FROM = 50;

/** A message in the user's units: marked lengths are converted, everything else is unchanged. */
export function inUnits(message: string, units: DisplayUnits): string {
  return message.replace(LENGTH, (_, number: string, decimals: string | undefined, unit: 'km' | 'm') => {
    if (units === 'm') return `${number} ${unit}`;
    if (unit === 'km') return `${fromMeters(Number(number) * 1000, 'mi').toFixed(0)} mi`;
    return `${feetText(fromMeters(Number(number), 'ft'), decimals !== undefined)} ft`;
  });
}

/** Lengths in a message, in order, m. */
export const lengthsOf = (message: string): number[] =>
  [...message.matchAll(LENGTH)].map(([, number, , unit]) => Number(number) * (unit === 'km' ? 1000 : 1));

/** Feet to the precision of the meters: tenths when the meters had decimals. */
function feetText(feet: number, isFine: boolean): string {
  const text = isFine
    ? feet.toFixed(1)
    : String(Math.abs(feet) < TENS_FROM ? Math.round(feet) : 10 * Math.round(feet / 10));
  return text === '-0.0' || text === '-0' ? text.slice(1) : text;
}
