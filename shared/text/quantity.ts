import { type DisplayUnits, fromMeters } from '../contract/index.ts';

/** North that bearings shown to the user are measured from: magnetic or true. */
export type BearingReference = 'M' | 'T';

/** Decimals of a depth shown to the user: whole feet, or tenths of a meter. */
const DEPTH_DECIMALS = { ft: 0, m: 1 } as const;

/** Depth in the user's unit without the unit: `25` or `7.6`. @param depth m. */
export const depthNumber = (depth: number, units: DisplayUnits): string =>
  plain(fromMeters(depth, units).toFixed(DEPTH_DECIMALS[units]));

/** Depth with its unit: `25ft`, `7.6m`; `gap` goes between. @param depth m. */
export const depthText = (depth: number, units: DisplayUnits, gap = ''): string =>
  `${depthNumber(depth, units)}${gap}${units}`;

/**
 * Range of depths, shallow first: `22-27ft`; a single depth when both round to the same.
 *
 * @param top m. @param bottom m.
 */
export function depthRange(top: number, bottom: number, units: DisplayUnits, gap = '', dash = '-'): string {
  const [from, to] = [depthNumber(top, units), depthNumber(bottom, units)];
  return `${from === to ? from : `${from}${dash}${to}`}${gap}${units}`;
}

/** Unit of lengths over the water: yards when depths are in feet. */
export const lengthUnit = (units: DisplayUnits): 'yd' | 'm' => (units === 'ft' ? 'yd' : 'm');

/** Length over the water in whole yards or meters, without the unit. @param length m. */
export const lengthNumber = (length: number, units: DisplayUnits): string =>
  plain(fromMeters(length, lengthUnit(units)).toFixed(0));

/** Length over the water with its unit: `48yd`, `44m`. @param length m. */
export const lengthText = (length: number, units: DisplayUnits, gap = ''): string =>
  `${lengthNumber(length, units)}${gap}${lengthUnit(units)}`;

/**
 * A distance over the water: `48yd` or `280m` below a limit, `0.4 mi` or `1.2 km` from there on.
 *
 * @param length m.
 * @param short Distance from which miles or kilometers are given, m.
 */
export const distanceText = (length: number, units: DisplayUnits, short = 300, gap = ''): string => {
  if (length < short) return lengthText(length, units, gap);
  return units === 'ft' ? `${fromMeters(length, 'mi').toFixed(1)} mi` : `${(length / 1000).toFixed(1)} km`;
};

/** Whole degrees in three digits, [000, 359]. @param degrees Any finite bearing. */
export const bearingDigits = (degrees: number): string =>
  String(((Math.round(degrees) % 360) + 360) % 360).padStart(3, '0');

/**
 * Bearing with its north: `214M`, `208T`.
 *
 * @param bearing True, deg.
 * @param declination deg, east positive; without it the bearing is shown as true even when magnetic was asked
 *   for.
 */
export function bearingText(bearing: number, reference: BearingReference, declination?: number): string {
  if (reference === 'T' || declination === undefined) return `${bearingDigits(bearing)}T`;
  return `${bearingDigits(bearing - declination)}M`;
}

/** Whole percent of a confidence, 99 at most: no model is certain. @param share 0 to 1. */
export const percentOf = (share: number): number => Math.min(99, Math.round(share * 100));

/** Turns `-0` into `0`. */
const plain = (text: string): string => (/^-0(\.0*)?$/.test(text) ? text.slice(1) : text);
