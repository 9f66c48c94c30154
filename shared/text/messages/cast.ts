import type { Diagnostic } from '../../contract/diagnostic.ts';
import type { DepthRange } from '../../contract/options.ts';
import { type DisplayUnits, fromMeters, METERS_PER_SECOND_PER } from '../../geo/units.ts';
import type { CastPlan } from '../../retrieve/cast-plan.ts';
import type { Fish } from '../../retrieve/fish.ts';
import type { Hazard } from '../../retrieve/hazards.ts';

const warning = (code: string, message: string): Diagnostic => ({ severity: 'warning', code, message });
const note = (code: string, message: string): Diagnostic => ({ severity: 'note', code, message });

/** Depth in the person's units. */
const depthText = (meters: number, units: DisplayUnits): string =>
  `${fromMeters(meters, units).toFixed(1)} ${units}`;

const castText = (meters: number, units: DisplayUnits): string =>
  units === 'm' ? `${meters.toFixed(0)} m` : `${fromMeters(meters, 'yd').toFixed(0)} yd`;

export const declinationUnknownDay = (day: string): Diagnostic =>
  warning(
    'magnetic/day',
    `Unexpected date ${day}, expected a day from 2014-12-15 to 2029-11-12, which the magnetic models cover. Magnetic bearings are left out; use the true ones.`,
  );

export const declinationUnknownPlace = (): Diagnostic =>
  warning(
    'magnetic/pole',
    'Found a place too near a magnetic pole, need a horizontal field of 2000 nT or more for a compass. Magnetic bearings are left out; use the true ones.',
  );

export const bandUnknown = (): Diagnostic =>
  warning(
    'fish/band',
    'Found no depth range in the text, no --fish-depth and no depth of the waypoint; fish band and casts left out. Write a range such as "fish 22-27 ft" or pass --fish-depth 22-27ft.',
  );

export type Side = 'downslope' | 'upslope';

const BOAT = { downslope: 'deep-side', upslope: 'shallow-side' } as const;

export const noBottom = (status: string): Diagnostic =>
  warning(
    'cast/no-bottom',
    `Found too few soundings round the waypoint for a bottom (status ${status}), need passes on both sides within a cast; boat positions and casts left out. Log more passes over it.`,
  );

/** @param need Depths that would do, m. */
export const noBoatWater = (
  side: Side,
  found: DepthRange | undefined,
  need: DepthRange,
  cast: number,
  units: DisplayUnits,
): Diagnostic =>
  warning(
    `cast/${side}-no-boat`,
    `Found ${soundedText(found, cast, units)}, need ${rangeText(need, units)} for the boat outside the fish band; ${BOAT[side]} boat position left out.`,
  );

export const noLanding = (
  side: Side,
  found: DepthRange | undefined,
  need: DepthRange,
  cast: number,
  units: DisplayUnits,
): Diagnostic =>
  warning(
    `cast/${side}-no-landing`,
    `Found ${soundedText(found, cast, units)}, need ${rangeText(need, units)} for the landing beyond the fish; ${BOAT[side]} boat position left out.`,
  );

/** No shallow side: the mark is on top. */
export const oppositeDeepSide = (): Diagnostic =>
  note(
    'cast/opposite-deep-side',
    'Found no shallower water for a boat within a cast: the fish are on top. The second boat position is in deep water too, across from the first.',
  );

/** The depth stated is not the mark's. @param depth At the mark, m. */
export const fishMoved = ({ east, north, band }: Fish, depth: number, units: DisplayUnits): Diagnostic =>
  note(
    'cast/fish-moved',
    `Found ${depthText(depth, units)} at the waypoint, outside the fish band of ${rangeText(band, units)}; fish taken to be on the nearest ground inside it, ${castText(Math.hypot(east, north), units)} away on ${(((Math.atan2(east, north) * 180) / Math.PI + 360) % 360).toFixed(0)} deg true.`,
  );

export const fishOffBottom = (
  band: DepthRange,
  depth: number,
  cast: number,
  units: DisplayUnits,
): Diagnostic =>
  note(
    'cast/fish-off-bottom',
    `Found ${depthText(depth, units)} at the waypoint and no ground of ${rangeText(band, units)} within a ${castText(cast, units)} cast: fish in that band are off the bottom, and no contact with it is planned among them.`,
  );

export const noLine = (side: Side, cast: number, units: DisplayUnits): Diagnostic =>
  warning(
    `cast/${side}-no-line`,
    `Found no ${castText(cast, units)} line past the waypoint with the boat on one side of the fish band, the landing on the other and sounded water between, need one; ${BOAT[side]} boat position left out.`,
  );

export const unsureBoat = (side: Side, draft: number, units: DisplayUnits): Diagnostic =>
  warning(
    `cast/${side}-draft`,
    `Found places for the boat only where the model, less two standard deviations, leaves under ${depthText(draft, units)} within the boat's swing, need the --draft of ${depthText(draft, units)}; ${BOAT[side]} boat position left out. Log another pass there.`,
  );

export const onlyClosed = (side: Side, zones: readonly string[]): Diagnostic =>
  warning(
    `cast/${side}-closed`,
    `Found places for the boat only in closed water or within its swing of it (${zones.map((name) => JSON.stringify(name)).join(', ')}), need open water; ${BOAT[side]} boat position left out. A zone closed at any hour counts as closed here.`,
  );

export const boatInSlow = (side: Side, zone: string, speed: number, units: DisplayUnits): Diagnostic =>
  note(
    'cast/slow-zone',
    `The ${BOAT[side]} boat position is in the slow zone ${JSON.stringify(zone)}: ${speedText(speed, units)} at most there.`,
  );

export const castOverClosed = (side: Side, zone: string): Diagnostic =>
  note(
    'cast/over-closed',
    `The cast from the ${BOAT[side]} boat position goes over the closed zone ${JSON.stringify(zone)}. Find out whether lures are allowed there.`,
  );

const speedText = (speed: number, units: DisplayUnits): string =>
  units === 'm'
    ? `${Number((speed / METERS_PER_SECOND_PER.kmh).toFixed(1))} km/h`
    : `${Number((speed / METERS_PER_SECOND_PER.mph).toFixed(1))} mph`;

function soundedText(found: DepthRange | undefined, cast: number, units: DisplayUnits): string {
  const within = `within a ${castText(cast, units)} cast`;
  if (found === undefined) return `no sounded bottom ${within}`;
  return `sounded bottom of ${depthText(found.top, units)} to ${depthText(found.bottom, units)} ${within}`;
}

function rangeText({ top, bottom }: DepthRange, units: DisplayUnits): string {
  if (bottom === Number.POSITIVE_INFINITY) return `${depthText(top, units)} or more`;
  if (bottom < top)
    return `${depthText(top, units)} or more and ${depthText(bottom, units)} or less, which is nowhere,`;
  return `${depthText(top, units)} to ${depthText(bottom, units)}`;
}

export const lureShort = (plan: CastPlan, bandBottom: number, units: DisplayUnits): Diagnostic =>
  warning(
    'cast/lure-short',
    `Found no lure that reaches the fish's deep edge at ${depthText(bandBottom, units)}; the deepest, ${plan.lure}, reaches ${depthText(plan.lureDepth, units)} on a ${castText(plan.cast, units)} cast.`,
  );

export const noContact = (side: Side): Diagnostic =>
  warning(
    `cast/${side}-no-contact`,
    `Found no cast from the ${BOAT[side]} boat position that holds a lure on bottom inside the fish band; the best of the lines is given.`,
  );

export const shallowBoat = (side: Side, plan: CastPlan, draft: number, units: DisplayUnits): Diagnostic =>
  warning(
    `cast/${side}-boat-shallow`,
    `Found ${depthText(plan.boat.depth, units)} (standard deviation ${depthText(plan.boat.depthSd, units)}) at the ${BOAT[side]} boat position, within its swing little more than the ${depthText(draft, units)} of --draft. Go in slowly and look.`,
  );

export const hazardUnderCast = (side: Side, hazard: Hazard): Diagnostic =>
  warning(
    'cast/hazard',
    `Found ${JSON.stringify(hazard.name)} (${hazard.word}) under the cast from the ${BOAT[side]} boat position. Use stronger line there, or try a next angle.`,
  );

export const intoWind = (side: Side, plan: CastPlan, units: DisplayUnits): Diagnostic =>
  note(
    'cast/into-wind',
    `The cast from the ${BOAT[side]} boat position goes into the wind: ${castText(plan.cast, units)} is what it leaves of your longest cast, by judgment.`,
  );

export const easierSide = (side: Side): Diagnostic =>
  note(
    'cast/easier-side',
    `The wind makes the ${BOAT[side]} boat position the easier one to hold: the boat lies downwind of the fish and drifts away from them. Judgment.`,
  );
