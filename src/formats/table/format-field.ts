import { type DisplayUnits, type FieldDefinition, fromMeters } from '../../../shared/contract/index.ts';

/**
 * Text of a field value: a number with its decimals and a decimal point in every locale; empty when absent.
 *
 * @param units `m` for SI (extension elements), `ft` for lengths in feet.
 */
export function formatField(value: unknown, definition: FieldDefinition, units: DisplayUnits): string {
  if (value === undefined) return '';
  if (typeof value !== 'number') return String(value);
  const shown = definition.unit === 'm' ? fromMeters(value, units) : value;
  const decimals = definition.decimals ?? 3;
  const text = shown.toFixed(decimals);
  if (shown < 0) return Number(text) === 0 ? text.slice(1) : text;
  return isFullCircle(shown, definition, text) ? (0).toFixed(decimals) : text;
}

/** True when rounding gives 360 deg, as for 359.6 deg without decimals. Directions are in [0, 360), so 0 is written. */
const isFullCircle = (value: number, { unit }: FieldDefinition, text: string): boolean =>
  unit === 'deg' && value > 359 && value < 360 && Number(text) === 360;
