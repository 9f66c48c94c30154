import type { DisplayUnits } from '../contract/index.ts';
import { bearingDigits, depthText, formatClock, lengthText } from '../text/index.ts';
import { type DayPlan, type PlannedStop, sideLetter } from './plan.ts';
import type { Run } from './run-parts.ts';
import { KG_PER_LB } from './sizes.ts';
import type { SpotSide } from './spots.ts';

/** Returns text such as `144M 48yd to 15ft`; empty without a cast. */
export function castText({ side }: Pick<PlannedStop, 'side'>, units: DisplayUnits): string {
  if (side.cast === undefined) return '';
  const landing = side.landingDepth === undefined ? '' : ` to ${depthText(side.landingDepth, units)}`;
  return `${castBearing(side)} ${lengthText(side.cast, units)}${landing}`.trim();
}

/** Returns text such as `144M`, or `151T` when only the true bearing is known; empty without a bearing. */
export function castBearing({ castMagnetic, castTrue }: SpotSide): string {
  if (castMagnetic !== undefined) return `${bearingDigits(castMagnetic)}M`;
  return castTrue === undefined ? '' : `${bearingDigits(castTrue)}T`;
}

/** Returns the depth at the boat, such as `25ft`; empty when unknown. */
export const boatText = ({ side }: PlannedStop, units: DisplayUnits): string =>
  side.depth === undefined ? '' : depthText(side.depth, units);

/** Returns the name of a spot and the letter of a side, such as `A12 D`. */
export const stopName = ({ spot, side }: Pick<PlannedStop, 'spot' | 'side'>): string =>
  `${spot.name} ${sideLetter(side)}`;

/** Returns the chance of at least one fish, such as `60 %`. */
export const percentText = ({ chanceOfFish }: Pick<PlannedStop, 'chanceOfFish'>): string =>
  `${Math.round(100 * chanceOfFish)} %`;

export const minutesOf = (seconds: number): number => Math.round(seconds / 60);

/** Returns text such as `6 +- 1 min`, plus a warning where the water is not known. */
export function runText({ seconds, sd, over }: Run): string {
  const spread = Math.max(1, minutesOf(sd));
  const word = { known: '', unverified: ', unverified water', unknown: ', partly not sounded' }[over];
  return `${minutesOf(seconds)} +- ${spread} min${word}`;
}

/** Says why and until when the boat waits before a stop; empty without a wait. */
export function waitText({ waitsFor, begin }: PlannedStop): string {
  if (waitsFor === undefined) return '';
  return waitsFor === 'opening' ? `opens ${formatClock(begin)}` : `rests until ${formatClock(begin)}`;
}

/**
 * Describes the fallback with index `at`, such as `B4 D, 5 min run, fish 40 % (planned for 11:20; go early)`;
 * empty without this fallback.
 */
export function fallbackText({ fallbacks }: PlannedStop, at: number): string {
  const fallback = fallbacks[at];
  if (fallback === undefined) return '';
  const { seconds, plannedFor } = fallback;
  const planned = plannedFor === undefined ? '' : ` (planned for ${formatClock(plannedFor)}; go early)`;
  return `${stopName(fallback)}, ${minutesOf(seconds)} min run, fish ${percentText(fallback)}${planned}`;
}

/** Names a place of the day in a sentence: `the ramp`, or the name of a mark. */
export const placeText = ({ name }: { readonly name: string }): string =>
  ({ ramp: 'the ramp', end: 'the check-in', here: 'the boat' })[name] ?? name;

/** Says what a plan may bring and which data the estimate is based on. */
export function outlookText(plan: DayPlan, units: DisplayUnits): string {
  const from =
    plan.logged === 0
      ? 'If your confidence in the spots is about right (less if most of them are dead)'
      : `From your confidence in the spots and ${plan.logged} logged ${plan.logged === 1 ? 'stop' : 'stops'}`;
  return `${from}: ${spreadText(plan, units)}`;
}

/**
 * Returns text such as `likely limit by 10:30 (9:10 to 12:40), then better ones; the best 5 weigh 9 to 16 lb
 * on eight days out of ten`. Each range leaves out the lowest and the highest tenth of the days.
 */
function spreadText({ outlook, limit, checkIn }: DayPlan, units: DisplayUnits): string {
  const { fish, bag, limitChance = 0, limitBy } = outlook;
  if (limit === 0 || bag === undefined) return `${fish[0]} to ${fish[2]} fish on eight days out of ten`;
  const best = `the best ${limit === 1 ? 'one weighs' : `${limit} weigh`} ${weightsText(bag[0], bag[2], units)} on eight days out of ten`;
  if (limitBy === undefined || limitChance < 0.2) return `a limit is unlikely; ${best}`;
  if (!Number.isFinite(limitBy[1])) return `the limit is in the boat: better ones now; ${best}`;
  const [low, middle, high] = limitBy.map((time) =>
    formatClock(Math.min(checkIn, STEP * Math.round(time / STEP))),
  );
  const by = `${middle} (${low} to ${high})`;
  if (limitChance < 0.7)
    return `a limit on ${Math.round(10 * limitChance)} days out of ten, usually by ${by}; ${best}`;
  return `likely limit by ${by}, then better ones; ${best}`;
}

/** Step for rounding the time of a full bag, s; finer times would promise too much. */
const STEP = 600;

const weightsText = (low: number, high: number, units: DisplayUnits): string =>
  units === 'ft'
    ? `${Math.round(low / KG_PER_LB)} to ${Math.round(high / KG_PER_LB)} lb`
    : `${low.toFixed(1)} to ${high.toFixed(1)} kg`;
