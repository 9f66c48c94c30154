import type {
  DisplayUnits,
  EnrichedWaypoint,
  FieldDefinition,
  OptionDefinitions,
} from '../../../shared/contract/index.ts';
import { columnName } from '../../../shared/engine/index.ts';
import { formatCsv, guardCell } from './csv.ts';
import { formatField } from './format-field.ts';

/** Options for the table output. */
export const tableOptions = {
  cellGuard: {
    kind: 'switch',
    default: true,
    flag: 'cell-guard',
    help: "Put ' before texts in CSV output that a spreadsheet would run as a formula; numbers are never changed.",
  },
} as const satisfies OptionDefinitions;

/** Enough for any coordinate as typed, and no exponent for values close to zero. */
const COORDINATE_DECIMALS = 12;

/**
 * The CSV table: one row per waypoint in input order, header names with units, absent values empty.
 *
 * Quoting follows RFC 4180, and lines end in LF.
 *
 * @param isGuarded Whether text that a spreadsheet would take for a formula gets an apostrophe before it.
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

/** A coordinate with exactly the decimals of the input. */
const coordinate = (degrees: number): string => degrees.toFixed(COORDINATE_DECIMALS).replace(/\.?0+$/, '');
