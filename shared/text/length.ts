import { type LengthUnit, METERS_PER, METERS_PER_SECOND_PER, type SpeedUnit } from '../contract/index.ts';
import { meaningOf } from './meaning-of.ts';
import { parseNumber } from './number.ts';

const LENGTH_WORDS = meaningOf<LengthUnit>({
  m: 'm meter meters metre metres',
  ft: 'ft foot feet',
  fm: 'fm fath fathom fathoms ftm',
  yd: 'yd yard yards',
  cm: 'cm centimeters centimetres',
  mm: 'mm',
});

/** Returns the unit of length that a word names, such as "ft", "Feet" or "(metres)"; otherwise undefined. */
export const lengthUnitOf = (text: string): LengthUnit | undefined =>
  LENGTH_WORDS.get(text.toLowerCase().replace(/[^a-z]/g, ''));

/**
 * Reads a depth in m from the text of a GPX extension element; NaN when the text is not a number in a known
 * unit.
 *
 * @param text `4.2`, `4.2 m`, `14 ft`. @param unit The element's unit attribute; meters without one.
 */
export function parseDepth(text: string, unit: string | undefined): number {
  const match = /^\s*([+-]?[\d.]+(?:[eE][+-]?\d{1,3})?)\s*([a-z]*)\.?\s*$/i.exec(text);
  if (match === null) return Number.NaN;
  const name = lengthUnitOf(match[2] || unit || 'm');
  return name === undefined ? Number.NaN : parseNumber(match[1]) * METERS_PER[name];
}

/** Returns the unit of speed that a word names; undefined for any other word. */
export function speedUnitOf(word: string): SpeedUnit | undefined {
  const unit = word.toLowerCase();
  return Object.hasOwn(METERS_PER_SECOND_PER, unit) ? (unit as SpeedUnit) : undefined;
}

/** Reads a speed in m/s from text such as `5mph`; NaN for other text, such as a number without a unit. */
export function parseSpeed(text: string): number {
  const match = /^\s*([\d.]+)\s*([a-z/]+)\s*$/i.exec(text);
  const unit = match === null ? undefined : speedUnitOf(match[2]);
  return match === null || unit === undefined
    ? Number.NaN
    : parseNumber(match[1]) * METERS_PER_SECOND_PER[unit];
}

/** True when a depth states its unit, in its text or in its unit attribute. @param unit The attribute. */
export const saysUnit = (text: string, unit: string | undefined): boolean =>
  (unit ?? '').trim() !== '' || /[a-z]\.?\s*$/i.test(text);
