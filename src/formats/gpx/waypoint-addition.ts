import type {
  CastPlan,
  DisplayUnits,
  EnrichedWaypoint,
  FieldDefinition,
  WriterPosition,
} from '../../../shared/contract/index.ts';
import { sideName } from '../../../shared/text/index.ts';
import { formatField } from '../table/index.ts';
import { formatCastComment, formatWaypointComment } from './comment.ts';
import type { AddedValue, PartnerAddition, WaypointAddition } from './gpx-document.ts';

export interface AdditionStyle {
  readonly units: DisplayUnits;
  /** North of the bearings in comments: magnetic (M) or true (T). */
  readonly bearings: 'M' | 'T';
  /** Number of next angles that become boat positions in addition to the two sides. */
  readonly angles: number;
  /** Maximum length of a comment on the chartplotter, characters. */
  readonly room?: number;
}

/** Formats what an enriched waypoint adds to the GPX: values in m and deg, comments in the user's units. */
export function waypointAddition(
  { waypoint, fields, diagnostics }: EnrichedWaypoint,
  definitions: readonly (readonly [string, FieldDefinition])[],
  style: AdditionStyle,
  positions: readonly WriterPosition[] = [],
): WaypointAddition {
  const values = addedValues(fields, definitions);
  const notes = [...new Set(diagnostics.map(({ code }) => code))].join(';');
  if (notes !== '') values.push({ name: 'notes', value: notes });
  const partner = ({ suffix, plan, where }: NamedCast): PartnerAddition => ({
    suffix,
    lat: plan.boat.lat,
    lon: plan.boat.lon,
    comment: castComment(plan, where, fields.declination, style),
    values: [],
  });
  return {
    fileIndex: waypoint.fileIndex,
    values,
    comment: formatWaypointComment(fields, style.units, style.room),
    partners: [...castsWithSuffix(fields, style.angles).map(partner), ...positions.map(pluginPartner)],
  };
}

/** Converts a plugin's position. Recording its text lets a later run tell it from the user's text. */
const pluginPartner = ({ suffix, lat, lon, comment, symbol = '' }: WriterPosition): PartnerAddition => ({
  suffix,
  lat,
  lon,
  comment,
  symbol,
  isPlugins: true,
  values: Object.entries({ text: comment, symbol }).flatMap(([name, value]) =>
    value === '' ? [] : [{ name, value }],
  ),
});

export interface NamedCast {
  readonly suffix: string;
  readonly plan: CastPlan;
  /** Side where the boat sits, in words; empty for the deep side and for a next angle. */
  readonly where: string;
}

/** Returns the casts that become boat positions: both sides, then up to `count` next angles. */
export function castsWithSuffix(fields: EnrichedWaypoint['fields'], count: number): NamedCast[] {
  const { downslope, upslope, angles = [] } = fields;
  const sided = (suffix: string, plan: CastPlan | undefined): NamedCast[] =>
    plan === undefined
      ? []
      : [{ suffix, plan, where: plan.kind === 'downslope' ? '' : sideName(plan, fields) }];
  return [
    ...sided('D', downslope),
    ...sided('U', upslope),
    ...angles.slice(0, count).map((plan, position) => ({ suffix: `A${position + 1}`, plan, where: '' })),
  ];
}

export const castComment = (
  plan: CastPlan,
  where: string,
  declination: number | undefined,
  style: AdditionStyle,
): string =>
  formatCastComment(plan, style.units, { reference: style.bearings, declination, room: style.room }, where);

/** Values of the `unit` attribute, by unit of the field. */
export const UNIT_TEXT: Partial<Record<FieldDefinition['unit'], string>> = {
  m: 'm',
  deg: 'deg',
  'degree-coordinate': 'deg',
  count: 'count',
  ratio: 'ratio',
};

function addedValues(
  fields: Readonly<Record<string, unknown>>,
  definitions: readonly (readonly [string, FieldDefinition])[],
): AddedValue[] {
  const values: AddedValue[] = [];
  for (const [name, definition] of definitions) {
    const value = fields[name];
    if (value === undefined) continue;
    values.push({ name, value: formatField(value, definition, 'm'), unit: UNIT_TEXT[definition.unit] });
  }
  return values;
}
