import { csvFormatRow } from 'd3-dsv';
import {
  type DisplayUnits,
  type EnrichedWaypoint,
  type FieldDefinition,
  fromMeters,
  type OptionDefinitions,
  switchOption,
} from '../../../shared/contract/index.ts';
import { columnName } from '../../../shared/engine/index.ts';

export const tableOptions = {
  cellGuard: switchOption(
    'cell-guard',
    "Put ' before texts in CSV output that a spreadsheet would run as a formula; numbers are never changed.",
    true,
  ),
} as const satisfies OptionDefinitions;

/** Maximum number of decimals of a coordinate; chosen: about a ten-thousandth of a millimeter. */
const COORDINATE_DECIMALS = 12;

/**
 * Formats the CSV table: one row per waypoint in input order, header names with units, absent values empty.
 * Quoting follows RFC 4180, and lines end in LF.
 *
 * @param isGuarded True to put an apostrophe before text that a spreadsheet would take for a formula.
 */
export function formatTable(
  waypoints: readonly EnrichedWaypoint[],
  fields: readonly (readonly [string, FieldDefinition])[],
  units: DisplayUnits,
  isGuarded: boolean,
): string {
  const cell = (text: string): string => (isGuarded ? guardCell(text) : text);
  const header = [
    'file',
    'waypoint',
    'lat',
    'lon',
    ...fields.map(([name, field]) => columnName(name, field, units)),
    'notes',
  ];
  const rows = waypoints.map(({ waypoint, fields: values, diagnostics }) => [
    cell(waypoint.file),
    cell(waypoint.name),
    coordinate(waypoint.lat),
    coordinate(waypoint.lon),
    ...fields.map(([name, field]) => {
      const text = formatField((values as Record<string, unknown>)[name], field, units);
      return field.type === 'number' ? text : cell(text);
    }),
    [...new Set(diagnostics.map(({ code }) => code))].join(';'),
  ]);
  return formatCsv([header, ...rows]);
}

/** Formats a coordinate without zeros at the end and without an exponent. */
const coordinate = (degrees: number): string => degrees.toFixed(COORDINATE_DECIMALS).replace(/\.?0+$/, '');

/** Formats rows as CSV with RFC 4180 quoting. Every row ends with a line end. */
export const formatCsv = (
  rows: readonly (readonly string[])[],
  lineEnd: '\n' | '\r\n' = '\n',
  isGuarded = false,
): string => rows.map((row) => csvFormatRow(isGuarded ? row.map(guardCell) : [...row]) + lineEnd).join('');

const NUMBER = /^[+-]?\d+(?:\.\d+)?$/;

/**
 * Puts an apostrophe, the spreadsheets' own mark for text, before text that a spreadsheet would take for a
 * formula: text that begins with = + - @, a tab or a line break and is no plain number. Source: OWASP, CSV
 * Injection.
 */
export const guardCell = (text: string): string =>
  /^[=+\-@\t\r\n]/.test(text) && !NUMBER.test(text) ? `'${text}` : text;

/**
 * Formats a value: a number with the field's decimals and a decimal point in every locale; empty if absent.
 *
 * @param units Units of lengths.
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

/** Returns whether a direction rounds to 360 deg. Directions are in [0, 360), so 0 is written instead. */
const isFullCircle = (value: number, { unit }: FieldDefinition, text: string): boolean =>
  unit === 'deg' && value > 359 && value < 360 && Number(text) === 360;
