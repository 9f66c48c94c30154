import { upperFirst } from 'es-toolkit';
import type { CastPlan, DepthRange, DisplayUnits, EnrichedWaypoint } from '../../shared/contract/index.ts';
import {
  bearingDigits,
  bearingText,
  depthRange,
  depthText,
  lengthText,
  sideName,
} from '../../shared/text/index.ts';

/** Keeps a number and its unit on one line. */
export const NBSP = '\u00a0';

/** Text about a value; empty when there is none. */
export const given = <T>(value: T | undefined, text: (value: T) => string): string =>
  value === undefined ? '' : text(value);

/** Bearing in words: `214\u00b0 magnetic`, or true when no declination is known. */
export function bearingWords(bearing: number, declination: number | undefined): string {
  if (declination === undefined) return `${bearingDigits(bearing)}\u00b0 true`;
  return `${bearingDigits(bearing - declination)}\u00b0 magnetic`;
}

/** Bearing as a number with its north: `214\u00b0M`, or `221\u00b0T` when no declination is known. */
export const bearingSigned = (bearing: number, declination: number | undefined): string =>
  bearingText(bearing, 'M', declination).replace(/.$/, '\u00b0$&');

/** Display name of a spot; a waypoint without a name is identified by its position in the input. */
export const spotName = ({ waypoint }: EnrichedWaypoint): string =>
  waypoint.name.trim() === '' ? `(no name, waypoint ${waypoint.index + 1})` : waypoint.name.trim();

/** Text alternative of a plan view, in a few sentences. */
export function describePlan(spot: EnrichedWaypoint, units: DisplayUnits): string {
  const { fields } = spot;
  const mark =
    fields.depth === undefined
      ? 'Depth unknown.'
      : `Depth at the mark ${depthText(fields.depth, units, ' ')}.`;
  const casts = [fields.downslope, fields.upslope]
    .filter((plan) => plan !== undefined)
    .map((plan) => `${sentence(sideName(plan, fields))}: ${castWords(plan, units, fields.declination)}`);
  return [
    `Plan view of ${spotName(spot)}, north up.`,
    mark,
    ...(casts.length === 0 ? ['No cast planned.'] : casts),
  ].join(' ');
}

/**
 * Depths of the fish as stated in a note or option, m. A band assumed around the mark's own depth only chooses
 * the lure and is not drawn.
 */
export function statedBand(fields: EnrichedWaypoint['fields']): DepthRange | undefined {
  const { fish_top: top, fish_bottom: bottom, fish_source: source } = fields;
  return top === undefined || bottom === undefined || source === 'depth' ? undefined : { top, bottom };
}

/** Text alternative of a side view of one cast. */
export function describeSide(spot: EnrichedWaypoint, plan: CastPlan, units: DisplayUnits): string {
  const { fields } = spot;
  const touch =
    plan.contactDepths === undefined
      ? `The ${plan.lure} does not reach bottom.`
      : `The ${plan.lure} is on bottom from ${depthRange(...plan.contactDepths, units, ' ', ' to ')}.`;
  const band = statedBand(fields);
  const fish = band === undefined ? '' : ` Fish at ${depthRange(band.top, band.bottom, units, ' ', ' to ')}.`;
  return `Side view of ${spotName(spot)} along the cast. ${sentence(castWords(plan, units, fields.declination))} ${touch}${fish}`;
}

function castWords(plan: CastPlan, units: DisplayUnits, declination: number | undefined): string {
  return (
    `boat in ${depthText(plan.boat.depth, units, ' ')}, cast ${bearingWords(plan.bearing, declination)},` +
    ` ${lengthText(plan.cast, units, ' ')}, to ${depthText(plan.landing.depth, units, ' ')}.`
  );
}

export const sentence = upperFirst;
