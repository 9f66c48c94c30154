import {
  type CastKind,
  type CastPlan,
  type DepthRange,
  type Diagnostic,
  type DisplayUnits,
  fromMeters,
  METERS_PER_SECOND_PER,
} from '../contract/index.ts';
import { bearingText } from '../text/index.ts';
import { bearingOf } from './cast-rules.ts';
import type { Fish } from './fish.ts';
import type { Hazard } from './hazards.ts';

const warning = (code: string, message: string): Diagnostic => ({ severity: 'warning', code, message });
const note = (code: string, message: string): Diagnostic => ({ severity: 'note', code, message });

/** Depth in the user's units. */
const depthText = (meters: number, units: DisplayUnits): string =>
  `${fromMeters(meters, units).toFixed(1)} ${units}`;

const castText = (meters: number, units: DisplayUnits): string =>
  units === 'm' ? `${meters.toFixed(0)} m` : `${fromMeters(meters, 'yd').toFixed(0)} yd`;

export const declinationUnknownDay = (day: string): Diagnostic =>
  warning(
    'magnetic/day',
    `No magnetic bearings: the magnetic models cover 2014-12-15 to 2029-11-12, not ${day}. Use the true ones.`,
  );

export const declinationUnknownPlace = (): Diagnostic =>
  warning(
    'magnetic/pole',
    'No magnetic bearings: this is too near a magnetic pole for a compass. Use the true ones.',
  );

/** Names of a cast and its boat position, by where the boat sits. */
const SIDE: Readonly<Partial<Record<CastKind, string>>> = {
  downslope: 'deep-side',
  upslope: 'shallow-side',
  opposite: 'opposite-side',
};
const sideOf = ({ kind }: Pick<CastPlan, 'kind'>): string => SIDE[kind] ?? 'first';

export type SideName = 'downslope' | 'upslope';

/** A side that is left out: a warning when the mark is left without any cast, else a note. */
const leftOut = (side: SideName, isAlone: boolean, what: string, why: string): Diagnostic => ({
  severity: isAlone ? 'warning' : 'note',
  code: `cast/${side}-${what}`,
  message: `No ${SIDE[side]} spot: ${why}`,
});

export const noBottom = (status: string): Diagnostic =>
  warning(
    'cast/no-bottom',
    `No boat positions or casts here: too little sonar around the mark (status ${status}). Log passes on both sides of it, within a cast.`,
  );

/** @param found Sounded depths within a cast, m. @param need Depths that the boat may sit in, m. */
export function noBoatWater(
  side: SideName,
  isAlone: boolean,
  found: DepthRange | undefined,
  need: DepthRange,
  { ground }: Pick<Fish, 'ground'>,
  units: DisplayUnits,
): Diagnostic {
  const say = (why: string): Diagnostic => leftOut(side, isAlone, 'no-boat', why);
  const fish = rangeText(ground, units);
  if (found === undefined) return say('your sonar covers nothing within a cast.');
  if (need.bottom < need.top)
    return say(`above fish at ${fish} there is less than the ${depthText(need.top, units)} of your draft.`);
  return side === 'downslope'
    ? say(
        `you need ${depthText(need.top, units)} or more to sit below fish at ${fish}; the deepest within a cast is ${depthText(found.bottom, units)}.`,
      )
    : say(
        `you need ${depthText(need.top, units)} to ${depthText(need.bottom, units)} to sit above fish at ${fish}; the shallowest within a cast is ${depthText(found.top, units)}.`,
      );
}

export const noLine = (side: SideName, isAlone: boolean, cast: number, units: DisplayUnits): Diagnostic =>
  leftOut(
    side,
    isAlone,
    'no-line',
    `no ${castText(cast, units)} cast from there goes past the fish over water your sonar covers.`,
  );

export const unsureBoat = (
  side: SideName,
  isAlone: boolean,
  draft: number,
  units: DisplayUnits,
): Diagnostic =>
  leftOut(
    side,
    isAlone,
    'draft',
    `where the boat could sit, it may swing into less than ${depthText(draft, units)}. Log another pass there.`,
  );

export const onlyClosed = (side: SideName, isAlone: boolean, zones: readonly string[]): Diagnostic =>
  leftOut(
    side,
    isAlone,
    'closed',
    `everywhere the boat could sit or swing is closed (${zones.map((name) => JSON.stringify(name)).join(', ')}). A zone closed at any hour counts as closed here.`,
  );

export const noContact = (side: SideName, isAlone: boolean): Diagnostic =>
  leftOut(side, isAlone, 'no-contact', 'no cast from there brings a lure to the fish.');

/** No shallow side: the fish are on top. */
export const oppositeDeepSide = (): Diagnostic =>
  note(
    'cast/opposite-deep-side',
    'The fish are on top, with nothing shallower to sit on: the second spot is in deep water too, across from the first.',
  );

/** @param depths Sounded depths within a cast, m. */
export const levelGround = (depths: DepthRange, units: DisplayUnits): Diagnostic =>
  note(
    'cast/flat',
    `No deep or shallow side to sit on: within a cast it is ${rangeText(depths, units)}. Cast past the mark from where wind and current suit you; the spot given holds the lure among the fish longest.`,
  );

/** The stated depth of the fish differs from that of the mark. @param depth At the mark, m. */
export const fishMoved = ({ east, north, band }: Fish, depth: number, units: DisplayUnits): Diagnostic =>
  note(
    'cast/fish-moved',
    `Fish at ${rangeText(band, units)}, but the mark is over ${depthText(depth, units)}: planned on the nearest ground at their depth, ${castText(Math.hypot(east, north), units)} away on ${bearingOf(east, north).toFixed(0)} deg true.`,
  );

export const fishSuspended = (band: DepthRange, depth: number, units: DisplayUnits): Diagnostic =>
  note(
    'cast/fish-off-bottom',
    `Fish at ${rangeText(band, units)} hang over ${depthText(depth, units)}, and no bottom within a cast comes up to them: run the lure through them, off the bottom.`,
  );

export const fishBelowBottom = (
  stated: DepthRange,
  depth: number,
  cast: number,
  units: DisplayUnits,
): Diagnostic =>
  warning(
    'cast/fish-below-bottom',
    `Fish at ${rangeText(stated, units)} do not fit your sonar: ${depthText(depth, units)} at the mark, and nothing so deep within a ${castText(cast, units)} cast. Planned on the mark alone; check the depth you noted.`,
  );

/** @param declination deg; absent: true bearings. */
export const equalSide = (
  plan: CastPlan,
  equalBearing: number,
  declination: number | undefined,
): Diagnostic => {
  const [other, own] = [equalBearing, plan.bearing].map((one) => bearingText(one, 'M', declination));
  return note(
    'cast/equal-side',
    `Casting on ${other} is as good as the ${sideOf(plan)} cast on ${own}: take the side that wind and boats leave you.`,
  );
};

export const boatInSlow = (plan: CastPlan, zone: string, speed: number, units: DisplayUnits): Diagnostic =>
  note(
    'cast/slow-zone',
    `The ${sideOf(plan)} spot is in the slow zone ${JSON.stringify(zone)}: ${speedText(speed, units)} at most there.`,
  );

export const castOverClosed = (plan: CastPlan, zone: string): Diagnostic =>
  note(
    'cast/over-closed',
    `The ${sideOf(plan)} cast goes over the closed zone ${JSON.stringify(zone)}. Find out whether lures are allowed there.`,
  );

const speedText = (speed: number, units: DisplayUnits): string =>
  units === 'm'
    ? `${Number((speed / METERS_PER_SECOND_PER.kmh).toFixed(1))} km/h`
    : `${Number((speed / METERS_PER_SECOND_PER.mph).toFixed(1))} mph`;

const rangeText = ({ top, bottom }: DepthRange, units: DisplayUnits): string =>
  depthText(top, units) === depthText(bottom, units)
    ? depthText(top, units)
    : `${fromMeters(top, units).toFixed(1)} to ${depthText(bottom, units)}`;

export const lureShort = (plan: CastPlan, bandBottom: number, units: DisplayUnits): Diagnostic =>
  warning(
    'cast/lure-short',
    `Fish down to ${depthText(bandBottom, units)}: your deepest lure, ${plan.lure}, gets to ${depthText(plan.lureDepth, units)} on a ${castText(plan.cast, units)} cast.`,
  );

export const lurePlows = (plan: CastPlan, bandBottom: number, units: DisplayUnits): Diagnostic =>
  warning(
    'cast/lure-ploughs',
    `${plan.lure} will plow into the bottom: it runs to ${depthText(plan.lureDepth, units)} on this cast, and the fish are no deeper than ${depthText(bandBottom, units)}. Your box has nothing shallower that reaches them; add one, or expect to snag.`,
  );

export const shallowBoat = (plan: CastPlan, units: DisplayUnits): Diagnostic =>
  warning(
    `cast/${plan.kind}-boat-shallow`,
    `The ${sideOf(plan)} spot is only about ${depthText(plan.boat.depth, units)} deep, give or take ${depthText(2 * plan.boat.depthSd, units)}. Ease in.`,
  );

export const hazardUnderCast = (plan: CastPlan, { name, word }: Hazard): Diagnostic =>
  warning(
    'cast/hazard',
    `The ${sideOf(plan)} cast crosses ${JSON.stringify(name)} (${word}). Heavier line, or another angle.`,
  );

/** The mark itself is something that lures hang up on. */
export const markIsHazard = ({ word }: Hazard): Diagnostic =>
  note(
    'cast/on-hazard',
    `Lures may hang up here: you marked this spot itself "${word}". Heavier line helps.`,
  );

/** Most names of other marks that are listed; the rest are counted. */
const MAX_NAMES = 3;

/** @param crossed Names of marks near the casts. @param crowded Names of marks near the boats. */
export function otherMarks(
  crossed: readonly string[],
  crowded: readonly string[],
  { over, by }: { readonly over: number; readonly by: number },
  units: DisplayUnits,
): Diagnostic {
  const list = (names: readonly string[]): string => {
    const rest = names.length - MAX_NAMES;
    return `${names.slice(0, MAX_NAMES).join(', ')}${rest > 0 ? ` and ${rest} more` : ''}`;
  };
  const parts = [
    ...(crossed.length > 0 ? [`casts here go within ${castText(over, units)} of ${list(crossed)}`] : []),
    ...(crowded.length > 0 ? [`the boat sits within ${castText(by, units)} of ${list(crowded)}`] : []),
  ];
  return note('cast/other-marks', `Mind your other marks: ${parts.join('; ')}.`);
}

export const intoWind = (plan: CastPlan, units: DisplayUnits): Diagnostic =>
  note(
    'cast/into-wind',
    `The ${sideOf(plan)} cast goes into the wind, which leaves about ${castText(plan.cast, units)} of your longest cast (judgment).`,
  );

export const easierSide = (plan: CastPlan): Diagnostic =>
  note(
    'cast/easier-side',
    `The wind makes the ${sideOf(plan)} spot the easier one to hold: the boat drifts away from the fish, not onto them (judgment).`,
  );
