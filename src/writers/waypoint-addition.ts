import type { FieldDefinition } from '../../shared/contract/fields.ts';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import type { CastPlan } from '../../shared/retrieve/cast-plan.ts';
import type { DisplayUnits } from '../../shared/units.ts';
import type { AddedValue, PartnerAddition, WaypointAddition } from '../gpx/gpx-document.ts';
import { formatCastComment, formatWaypointComment } from './comment.ts';
import { formatField } from './format-field.ts';

export interface AdditionStyle {
  readonly units: DisplayUnits;
  /** Bearings in comments: magnetic or true. */
  readonly bearings: 'M' | 'T';
  /** Next angles that become partner waypoints besides the two sides. */
  readonly angles: number;
}

/** What one enriched waypoint adds to the GPX: values in SI, comments in the person's units. */
export function waypointAddition(
  { waypoint, fields, diagnostics }: EnrichedWaypoint,
  definitions: readonly (readonly [string, FieldDefinition])[],
  style: AdditionStyle,
): WaypointAddition {
  const values = definitions.flatMap(([name, definition]) => addedValue(name, definition, fields));
  const notes = [...new Set(diagnostics.map(({ code }) => code))].join(';');
  const { declination, downslope, upslope, angles = [] } = fields;
  const partner = (suffix: string, plan: CastPlan): PartnerAddition => ({
    suffix,
    lat: plan.boat.lat,
    lon: plan.boat.lon,
    comment: formatCastComment(plan, style.units, { reference: style.bearings, declination }),
    values: [],
  });
  return {
    fileIndex: waypoint.fileIndex,
    values: notes === '' ? values : [...values, { name: 'notes', value: notes }],
    comment: formatWaypointComment(fields, style.units),
    partners: [
      ...(downslope === undefined ? [] : [partner('D', downslope)]),
      ...(upslope === undefined ? [] : [partner('U', upslope)]),
      ...angles.slice(0, style.angles).map((plan, position) => partner(`A${position + 1}`, plan)),
    ],
  };
}

const UNIT_TEXT: Partial<Record<FieldDefinition['unit'], string>> = {
  m: 'm',
  deg: 'deg',
  'degree-coordinate': 'deg',
  count: 'count',
  ratio: 'ratio',
};

function addedValue(
  name: string,
  definition: FieldDefinition,
  fields: Readonly<Record<string, unknown>>,
): AddedValue[] {
  const value = fields[name];
  if (value === undefined) return [];
  return [{ name, value: formatField(value, definition, 'm'), unit: UNIT_TEXT[definition.unit] }];
}
