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

/** No-break space, which keeps a number and its unit on one line. */
export const NBSP = '\u00a0';

export const given = <T>(value: T | undefined, text: (value: T) => string): string =>
  value === undefined ? '' : text(value);

/** Writes a true bearing in words: `214\u00b0 magnetic`, or `221\u00b0 true` without a declination. */
export function bearingWords(bearing: number, declination: number | undefined): string {
  if (declination === undefined) return `${bearingDigits(bearing)}\u00b0 true`;
  return `${bearingDigits(bearing - declination)}\u00b0 magnetic`;
}

/** Writes a true bearing with a letter for its north: `214\u00b0M`, or `221\u00b0T` without a declination. */
export const bearingSigned = (bearing: number, declination: number | undefined): string =>
  bearingText(bearing, 'M', declination).replace(/.$/, '\u00b0$&');

/** Returns the display name of a spot; an unnamed waypoint gets its number in the input. */
export const spotName = ({ waypoint }: EnrichedWaypoint): string =>
  waypoint.name.trim() === '' ? `(no name, waypoint ${waypoint.index + 1})` : waypoint.name.trim();

/** Writes the text alternative of a plan view. */
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

/** Returns the fish depths that a note or option states, m; undefined if neither states any. */
export function statedBand(fields: EnrichedWaypoint['fields']): DepthRange | undefined {
  const { fish_top: top, fish_bottom: bottom, fish_source: source } = fields;
  return top === undefined || bottom === undefined || source === 'depth' ? undefined : { top, bottom };
}

/** Writes the text alternative of a side view of one cast. */
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
