import {
  type CastPlan,
  type DisplayUnits,
  type EnrichedWaypoint,
  type FieldDefinition,
  fromMeters,
} from '../../../shared/contract/index.ts';
import { columnName } from '../../../shared/engine/index.ts';
import { angleName } from '../../../shared/text/index.ts';
import { formatField } from '../table/index.ts';
import type { GeoCast, GeoProperties, GeoSpot } from './geojson.ts';

/** Property for the kind of a cast, such as `deep-side` or `quartering`. */
const CAST_KIND = 'cast_kind';

type Fields = readonly (readonly [string, FieldDefinition])[];

/**
 * Returns the results of a waypoint as plain values for GeoJSON, named like the columns of the table. The
 * values of each cast are in `casts`, under names without the side.
 */
export function lakeSpot(
  { waypoint: { file, fileIndex }, fields }: EnrichedWaypoint,
  definitions: Fields,
  units: DisplayUnits,
): GeoSpot {
  const { downslope, upslope, angles: next = [] } = fields;
  const sided = (side: string, plan: CastPlan | undefined): GeoCast[] => {
    if (plan === undefined) return [];
    const own = definitions.filter(([name]) => name.startsWith(`${side}_`));
    return [castOf(side, plan, propertiesOf(own, fields, units, `${side}_`))];
  };
  const general = definitions.filter(([name]) => !/^(downslope|upslope)_/.test(name));
  return {
    file,
    fileIndex,
    properties: propertiesOf(general, fields, units, ''),
    casts: [
      ...sided('downslope', downslope),
      ...sided('upslope', upslope),
      ...next.map((plan, position) => castOf(`angle ${position + 1}`, plan, planProperties(plan, units))),
    ],
  };
}

const castOf = (side: string, { boat, landing, lure }: CastPlan, properties: GeoProperties): GeoCast => ({
  side,
  boat,
  landing,
  properties: { lure, ...properties },
});

function propertiesOf(
  definitions: Fields,
  fields: Readonly<Record<string, unknown>>,
  units: DisplayUnits,
  prefix: string,
): GeoProperties {
  const entries = definitions
    .filter(([name]) => fields[name] !== undefined)
    .map(([name, definition]) => {
      const text = formatField(fields[name], definition, units);
      const own = name.slice(prefix.length);
      // `kind` already says whether the feature is a boat, landing or cast.
      const key = own === 'kind' ? CAST_KIND : columnName(own, definition, units);
      return [key, definition.type === 'number' ? Number(text) : text] as const;
    });
  return Object.fromEntries(entries);
}

const planProperties = (plan: CastPlan, units: DisplayUnits): GeoProperties => ({
  [CAST_KIND]: angleName(plan),
  [`depth_${units}`]: round(fromMeters(plan.boat.depth, units), 2),
  cast_true_deg: Math.round(plan.bearing) % 360,
  [`cast_${units}`]: round(fromMeters(plan.cast, units), 1),
  [`landing_depth_${units}`]: round(fromMeters(plan.landing.depth, units), 2),
  [`fish_contact_${units}`]: round(fromMeters(plan.fishContact, units), 1),
  [`fish_contact_sd_${units}`]: round(fromMeters(plan.fishContactSd, units), 1),
});

const round = (value: number, decimals: number): number => Number(value.toFixed(decimals));
