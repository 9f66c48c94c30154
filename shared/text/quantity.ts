import { type DisplayUnits, fromMeters } from '../contract/index.ts';

/** North that bearings shown to the user are measured from: magnetic or true. */
export type BearingReference = 'M' | 'T';

const DEPTH_DECIMALS = { ft: 0, m: 1 } as const;

/** Formats a depth in the user's unit, without the unit: `25` or `7.6`. @param depth m. */
export const depthNumber = (depth: number, units: DisplayUnits): string =>
  plain(fromMeters(depth, units).toFixed(DEPTH_DECIMALS[units]));

/** Formats a depth with its unit: `25ft`, `7.6m`. @param depth m. @param gap Text between number and unit. */
export const depthText = (depth: number, units: DisplayUnits, gap = ''): string =>
  `${depthNumber(depth, units)}${gap}${units}`;

/**
 * Formats a range of depths, shallow first: `22-27ft`. Gives a single depth when both round to the same
 * number.
 *
 * @param top m. @param bottom m.
 */
export function depthRange(top: number, bottom: number, units: DisplayUnits, gap = '', dash = '-'): string {
  const [from, to] = [depthNumber(top, units), depthNumber(bottom, units)];
  return `${from === to ? from : `${from}${dash}${to}`}${gap}${units}`;
}

/** Returns the unit of lengths over the water: yards when depths are in feet. */
export const lengthUnit = (units: DisplayUnits): 'yd' | 'm' => (units === 'ft' ? 'yd' : 'm');

/** Formats a length over the water in whole yards or meters, without the unit. @param length m. */
export const lengthNumber = (length: number, units: DisplayUnits): string =>
  plain(fromMeters(length, lengthUnit(units)).toFixed(0));

/** Formats a length over the water with its unit: `48yd`, `44m`. @param length m. */
export const lengthText = (length: number, units: DisplayUnits, gap = ''): string =>
  `${lengthNumber(length, units)}${gap}${lengthUnit(units)}`;

/**
 * Formats a distance over the water: `48yd` or `280m` when short, else `0.4 mi` or `1.2 km`.
 *
 * @param length m.
 * @param short Minimum distance that is given in miles or kilometers, m.
 */
export const distanceText = (length: number, units: DisplayUnits, short = 300, gap = ''): string => {
  if (length < short) return lengthText(length, units, gap);
  return units === 'ft' ? `${fromMeters(length, 'mi').toFixed(1)} mi` : `${(length / 1000).toFixed(1)} km`;
};

/** Formats a bearing in three digits, 000 to 359. @param degrees Any finite number. */
export const bearingDigits = (degrees: number): string =>
  String(((Math.round(degrees) % 360) + 360) % 360).padStart(3, '0');

/**
 * Formats a bearing with its north: `214M`, `208T`.
 *
 * @param bearing True, deg.
 * @param declination deg, east positive. Without a declination, the bearing is given as true.
 */
export function bearingText(bearing: number, reference: BearingReference, declination?: number): string {
  if (reference === 'T' || declination === undefined) return `${bearingDigits(bearing)}T`;
  return `${bearingDigits(bearing - declination)}M`;
}

/** Returns a confidence in whole percent, 99 at most, since no model is certain. @param share 0 to 1. */
export const percentOf = (share: number): number => Math.min(99, Math.round(share * 100));

/** Turns `-0` into `0`. */
const plain = (text: string): string => (/^-0(\.0*)?$/.test(text) ? text.slice(1) : text);
