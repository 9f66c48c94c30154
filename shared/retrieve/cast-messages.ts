import {
  type CastKind,
  type CastPlan,
  type DepthRange,
  type Diagnostic,
  type DisplayUnits,
  fromMeters,
  METERS_PER_SECOND_PER,
} from '../contract/index.ts';
import { bearingOf } from '../geo/index.ts';
import { bearingText, messages } from '../text/index.ts';
import type { CastPlanner } from './cast-planner.ts';
import type { CastRule } from './cast-rules.ts';
import type { Fish } from './fish.ts';
import type { Hazard } from './hazards.ts';
import type { NoCast } from './side.ts';

const depthText = (meters: number, units: DisplayUnits): string =>
  `${fromMeters(meters, units).toFixed(1)} ${units}`;

const rangeText = ({ top, bottom }: DepthRange, units: DisplayUnits): string =>
  depthText(top, units) === depthText(bottom, units)
    ? depthText(top, units)
    : `${fromMeters(top, units).toFixed(1)} to ${depthText(bottom, units)}`;

const castText = (meters: number, units: DisplayUnits): string =>
  units === 'm' ? `${meters.toFixed(0)} m` : `${fromMeters(meters, 'yd').toFixed(0)} yd`;

const speedText = (speed: number, units: DisplayUnits): string =>
  units === 'm'
    ? `${Number((speed / METERS_PER_SECOND_PER.kmh).toFixed(1))} km/h`
    : `${Number((speed / METERS_PER_SECOND_PER.mph).toFixed(1))} mph`;

const SIDE: Readonly<Partial<Record<CastKind, string>>> = {
  downslope: 'deep-side',
  upslope: 'shallow-side',
  opposite: 'opposite-side',
};
const sideOf = ({ kind }: Pick<CastPlan, 'kind'>): string => SIDE[kind] ?? 'first';

const MAX_NAMES = 3;

const listed = (names: readonly string[]): string => {
  const rest = names.length - MAX_NAMES;
  return `${names.slice(0, MAX_NAMES).join(', ')}${rest > 0 ? ` and ${rest} more` : ''}`;
};

export const magneticMessages = messages('magnetic', 'warning', {
  day: (day: string) =>
    `No magnetic bearings: the magnetic models cover 2014-12-15 to 2029-11-12, not ${day}. Use the true ones.`,
  pole: 'No magnetic bearings: this is too near a magnetic pole for a compass. Use the true ones.',
});

export type SideName = 'downslope' | 'upslope';

/** Reports a side without a cast: a warning if the mark has no cast at all (`isAlone`), else a note. */
function noCast(
  side: SideName,
  isAlone: boolean,
  none: NoCast,
  planner: CastPlanner,
  cast: number,
  units: DisplayUnits,
): Diagnostic {
  const [what, why] = whyLeftOut(side, none, planner, cast, units);
  const severity = isAlone ? 'warning' : 'note';
  const spot = isAnywhere(none, planner.space.fish)
    ? 'spot for the boat'
    : `${SIDE[none.rule.sectors === undefined ? side : 'opposite']} spot`;
  return { severity, code: `cast/${side}-${what}`, message: `No ${spot}: ${why}` };
}

/** True when the boat could sit on any side, since the fish are off the bottom. */
const isAnywhere = ({ rule }: NoCast, { suspended }: Pick<Fish, 'suspended'>): boolean =>
  suspended !== undefined && rule.sectors === undefined;

function whyLeftOut(
  side: SideName,
  none: NoCast,
  { space: { fish }, draft, zones }: CastPlanner,
  cast: number,
  units: DisplayUnits,
): readonly [what: string, why: string] {
  const { missing, depths, rule } = none;
  const text = (meters: number): string => depthText(meters, units);
  if (missing === 'boat') return ['no-boat', noBoatWater(side, depths, rule, fish, units)];
  if (missing === 'draft')
    return [
      'draft',
      `wherever the boat could sit, it may swing into water shallower than ${text(draft)}, the least that --draft allows. Log another pass there.`,
    ];
  if (missing === 'contact')
    return ['no-contact', `no cast${isAnywhere(none, fish) ? '' : ' from there'} brings a lure to the fish.`];
  if (missing === 'zone') {
    const closed = zones.filter((zone) => zone.rule === 'closed').map(({ name }) => JSON.stringify(name));
    return [
      'closed',
      `everywhere the boat could sit or swing is closed (${closed.join(', ')}). A zone closed at any hour counts as closed here.`,
    ];
  }
  if (missing === 'landing')
    return [
      'no-line',
      `the cast has to land in ${text(rule.landing.top)} or more, past the fish; the deepest within a cast is ${text(depths?.bottom ?? 0)}. Log a pass on the far side of the fish.`,
    ];
  return [
    'no-line',
    `no ${castText(cast, units)} cast${isAnywhere(none, fish) ? '' : ' from that side'} gets past the fish over water your sonar covers. Log a pass on the far side of the fish.`,
  ];
}

/** @param found Sounded depths within a cast, m. */
function noBoatWater(
  side: SideName,
  found: DepthRange | undefined,
  { boat: need, draft }: Pick<CastRule, 'boat' | 'draft'>,
  { ground }: Pick<Fish, 'ground'>,
  units: DisplayUnits,
): string {
  const text = (meters: number): string => depthText(meters, units);
  const fish = rangeText(ground, units);
  if (found === undefined) return 'your sonar covers nothing within a cast. Log passes around the mark.';
  if (need.bottom < need.top)
    return `your boat needs ${text(need.top)} of water (--draft), and any spot shallow enough to be clear of fish at ${fish} has less.`;
  if (side === 'downslope' && need.top <= draft)
    return `your boat needs ${text(draft)} of water (--draft), and the deepest within a cast is ${text(found.bottom)}.`;
  if (side === 'downslope')
    return `the boat needs ${text(need.top)} of water or more, deeper than the fish at ${fish}; the deepest within a cast is ${text(found.bottom)}.`;
  const shallowest =
    found.top > need.bottom
      ? `the shallowest within a cast is ${text(found.top)}`
      : 'your sonar shows no such depth within a cast';
  return `the boat needs ${text(need.top)} to ${text(need.bottom)} of water, shallower than the fish at ${fish}; ${shallowest}.`;
}

const shallowBoat = (plan: CastPlan, units: DisplayUnits): Diagnostic => ({
  severity: 'warning',
  code: `cast/${plan.kind}-boat-shallow`,
  message: `The ${sideOf(plan)} spot may be hardly deeper than your draft where the boat swings: it is about ${depthText(plan.boat.depth, units)} deep at the boat, give or take ${depthText(2 * plan.boat.depthSd, units)}. Ease in.`,
});

/** Messages about casts. `shallowBoat` and `noCast` put the kind of cast or the side into their codes. */
export const castMessages = {
  ...messages('cast', 'warning', {
    'no-bottom':
      'No boat positions or casts here: too little sonar around the mark. Log passes on both sides of it, within a cast.',
    'fish-below-bottom': (
      stated: DepthRange,
      depth: number,
      cast: number,
      isFromNote: boolean,
      units: DisplayUnits,
    ) =>
      `Fish at ${rangeText(stated, units)} do not fit your sonar: the mark is over ${depthText(depth, units)}, and no bottom within a ${castText(cast, units)} cast is at their depth. Planned on the mark alone. Check ${isFromNote ? 'the depth in the note, and its unit' : '--fish-depth'}.`,
    'lure-short': (plan: CastPlan, bandBottom: number, hasBox: boolean, units: DisplayUnits) =>
      `The lure stays above the deepest fish, at ${depthText(bandBottom, units)}: ${hasBox ? 'your deepest lure' : 'the deepest lure planned with'}, ${plan.lure}, gets to ${depthText(plan.lureDepth, units)} on a ${castText(plan.cast, units)} cast. If you have a deeper one, ${hasBox ? 'add it to the file of --lures' : 'list your lures with --lures'}.`,
    'lure-ploughs': (
      plan: CastPlan,
      bandBottom: number,
      { hasBox, isSuspended }: { readonly hasBox: boolean; readonly isSuspended: boolean },
      units: DisplayUnits,
    ) =>
      `${plan.lure} ${isSuspended ? 'runs far below the fish' : 'will plow into the bottom'}: it gets to ${depthText(plan.lureDepth, units)} on a ${castText(plan.cast, units)} cast, and the fish are no deeper than ${depthText(bandBottom, units)}. ${hasBox ? 'No shallower lure in your box reaches them' : 'No shallower lure planned with reaches them'}. If you have one that does, ${hasBox ? 'add it to the file of --lures' : 'list your lures with --lures'}.`,
    hazard: (plan: CastPlan, { name, word }: Hazard) =>
      `The ${sideOf(plan)} cast crosses ${JSON.stringify(name)} (${word}). Use heavier line or another angle.`,
  }),
  ...messages('cast', 'note', {
    'opposite-deep-side':
      'The second spot is in deep water too, across the fish from the first: no shallow-side spot works here.',
    /** @param depths Sounded depths within a cast, m. */
    flat: (depths: DepthRange, units: DisplayUnits) =>
      `No deep or shallow side to sit on: within a cast the bottom is ${rangeText(depths, units)} deep. Cast past the mark from where wind and current suit you; the spot given holds the lure among the fish longest.`,
    /** @param depth Depth at the mark, m. @param declination deg; absent: a true bearing is given. */
    'fish-moved': (
      { east, north, band }: Fish,
      depth: number,
      units: DisplayUnits,
      declination: number | undefined,
    ) =>
      `Fish at ${rangeText(band, units)}, but the mark is over ${depthText(depth, units)}: planned on the nearest ground at their depth, ${castText(Math.hypot(east, north), units)} away toward ${bearingText(bearingOf(east, north), 'M', declination)}.`,
    'fish-off-bottom': (band: DepthRange, depth: number, units: DisplayUnits) =>
      `Fish at ${rangeText(band, units)} hang over ${depthText(depth, units)}, and no bottom within a cast comes up to them: planned off the bottom, through the fish.`,
    /** @param declination deg; absent: true bearings are given. */
    'equal-side': (plan: CastPlan, equalBearing: number, declination: number | undefined) => {
      const [other, own] = [equalBearing, plan.bearing].map((one) => bearingText(one, 'M', declination));
      return `Casting toward ${other} is as good as the ${sideOf(plan)} cast toward ${own}: take whichever side wind and boats leave free.`;
    },
    'slow-zone': (plan: CastPlan, zone: string, speed: number, units: DisplayUnits) =>
      `The ${sideOf(plan)} spot is in the slow zone ${JSON.stringify(zone)}: ${speedText(speed, units)} at most there.`,
    'over-closed': (plan: CastPlan, zone: string) =>
      `The ${sideOf(plan)} cast goes over the closed zone ${JSON.stringify(zone)}. Find out whether lures are allowed there.`,
    'on-hazard': ({ word }: Hazard) =>
      `Lures may hang up here: you marked this spot itself "${word}". Heavier line helps.`,
    /** @param crossed Names of marks near the casts. @param crowded Names of marks near the boats. */
    'other-marks': (
      crossed: readonly string[],
      crowded: readonly string[],
      { over, by }: { readonly over: number; readonly by: number },
      units: DisplayUnits,
    ) => {
      const parts = [
        ...(crossed.length > 0
          ? [`casts here go within ${castText(over, units)} of ${listed(crossed)}`]
          : []),
        ...(crowded.length > 0 ? [`the boat sits within ${castText(by, units)} of ${listed(crowded)}`] : []),
      ];
      return `Mind your other marks: ${parts.join('; ')}.`;
    },
    'into-wind': (plan: CastPlan, units: DisplayUnits) =>
      `The ${sideOf(plan)} cast goes into the wind, which shortens it: planned at ${castText(plan.cast, units)}, by rule of thumb.`,
    'easier-side': (plan: CastPlan) =>
      `The wind makes the ${sideOf(plan)} spot the easier one to hold: the boat drifts away from the fish, not onto them.`,
  }),
  shallowBoat,
  noCast,
};
