import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import type { DisplayUnits } from '../../shared/geo/units.ts';
import type { CastPlan } from '../../shared/retrieve/cast-plan.ts';
import { bearingDigits, depthRange, depthText, lengthText } from '../formats/table/quantity.ts';

/** Bearing as a person says it: `214\u00b0 magnetic`, or true where no declination is known. */
export function bearingWords(bearing: number, declination: number | undefined): string {
  if (declination === undefined) return `${bearingDigits(bearing)}\u00b0 true`;
  return `${bearingDigits(bearing - declination)}\u00b0 magnetic`;
}

/** Name of a spot for people; a waypoint without a name is called by its place in the input. */
export const spotName = ({ waypoint }: EnrichedWaypoint): string =>
  waypoint.name.trim() === '' ? `(no name, waypoint ${waypoint.index + 1})` : waypoint.name.trim();

/** What a plan view shows, in one or two sentences. */
export function describePlan(spot: EnrichedWaypoint, units: DisplayUnits): string {
  const { fields } = spot;
  const mark =
    fields.depth === undefined
      ? 'Depth unknown.'
      : `Depth at the mark ${depthText(fields.depth, units, ' ')}.`;
  const casts = [
    fields.downslope === undefined
      ? ''
      : `Deep-side ${castWords(fields.downslope, units, fields.declination)}`,
    fields.upslope === undefined
      ? ''
      : `Shallow-side ${castWords(fields.upslope, units, fields.declination)}`,
  ].filter((text) => text !== '');
  return [
    `Plan view of ${spotName(spot)}, north up.`,
    mark,
    ...(casts.length === 0 ? ['No cast planned.'] : casts),
  ].join(' ');
}

/** What a side view of one cast shows. */
export function describeSide(spot: EnrichedWaypoint, plan: CastPlan, units: DisplayUnits): string {
  const { fields } = spot;
  const touch =
    plan.contactDepths === undefined
      ? `The ${plan.lure} does not reach bottom.`
      : `The ${plan.lure} is on bottom from ${depthRange(...plan.contactDepths, units, ' ', ' to ')}.`;
  const fish =
    fields.fish_top === undefined || fields.fish_bottom === undefined
      ? ''
      : ` Fish band ${depthRange(fields.fish_top, fields.fish_bottom, units, ' ', ' to ')}.`;
  return `Side view of ${spotName(spot)} along the cast. ${sentence(castWords(plan, units, fields.declination))} ${touch}${fish}`;
}

function castWords(plan: CastPlan, units: DisplayUnits, declination: number | undefined): string {
  return (
    `boat in ${depthText(plan.boat.depth, units, ' ')}, cast ${bearingWords(plan.bearing, declination)},` +
    ` ${lengthText(plan.cast, units, ' ')}, to ${depthText(plan.landing.depth, units, ' ')}.`
  );
}

const sentence = (text: string): string => text[0].toUpperCase() + text.slice(1);
