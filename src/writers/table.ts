import { writeToString } from 'fast-csv';
import type { FieldDefinition } from '../../shared/contract/fields.ts';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import type { DisplayUnits } from '../../shared/units.ts';
import { columnName, formatField } from './format-field.ts';

const COORDINATE_DECIMALS = 7;

/**
 * The CSV table: one row per waypoint in input order, header names with units, absent values empty.
 *
 * RFC 4180 quoting, line ends LF.
 */
export async function formatTable(
  waypoints: readonly EnrichedWaypoint[],
  fields: readonly (readonly [string, FieldDefinition])[],
  units: DisplayUnits,
): Promise<string> {
  const header = [
    'file',
    'waypoint',
    'lat',
    'lon',
    ...fields.map(([name, field]) => columnName(name, field, units)),
    'notes',
  ];
  const rows = waypoints.map(({ waypoint, fields: values, diagnostics }) => [
    waypoint.file,
    waypoint.name,
    waypoint.lat.toFixed(COORDINATE_DECIMALS),
    waypoint.lon.toFixed(COORDINATE_DECIMALS),
    ...fields.map(([name, field]) => formatField((values as Record<string, unknown>)[name], field, units)),
    [...new Set(diagnostics.map(({ code }) => code))].join(';'),
  ]);
  return writeToString([header, ...rows], { headers: false, includeEndRowDelimiter: true });
}
