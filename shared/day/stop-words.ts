import type { DisplayUnits } from '../contract/index.ts';
import { bearingDigits, depthText, formatClock, lengthText } from '../text/index.ts';
import { type PlannedStop, sideLetter } from './plan.ts';
import type { Run } from './run-parts.ts';

/** Words of a stop that page, table and GPX share. */

/** `144M 48yd to 15ft`; empty without a cast. */
export function castText({ side }: Pick<PlannedStop, 'side'>, units: DisplayUnits): string {
  if (side.cast === undefined) return '';
  const bearing =
    side.castMagnetic !== undefined
      ? `${bearingDigits(side.castMagnetic)}M`
      : side.castTrue !== undefined
        ? `${bearingDigits(side.castTrue)}T`
        : '';
  const landing = side.landingDepth === undefined ? '' : ` to ${depthText(side.landingDepth, units)}`;
  return `${bearing} ${lengthText(side.cast, units)}${landing}`.trim();
}

/** `25ft`; empty when unknown. */
export const boatText = ({ side }: PlannedStop, units: DisplayUnits): string =>
  side.depth === undefined ? '' : depthText(side.depth, units);

/** `A12 D`: the name of a spot and the letter of a side. */
export const stopName = ({ spot, side }: Pick<PlannedStop, 'spot' | 'side'>): string =>
  `${spot.name} ${sideLetter(side)}`;

/** `60 %`: the chance of at least one fish. */
export const percentText = ({ chanceOfFish }: Pick<PlannedStop, 'chanceOfFish'>): string =>
  `${Math.round(100 * chanceOfFish)} %`;

export const minutesOf = (seconds: number): number => Math.round(seconds / 60);

/** `6 +- 1 min`, with a word added when the way is not over known water. */
export function runText({ seconds, sd, over }: Run): string {
  const spread = Math.max(1, minutesOf(sd));
  const word = { known: '', unverified: ', unverified water', unknown: ', partly not sounded' }[over];
  return `${minutesOf(seconds)} +- ${spread} min${word}`;
}

/** Why a stop waits before it begins; empty when it does not wait. */
export function waitText({ waitsFor, begin }: PlannedStop): string {
  if (waitsFor === undefined) return '';
  return waitsFor === 'opening' ? `opens ${formatClock(begin)}` : `rests until ${formatClock(begin)}`;
}

/** `B4 D, 5 min run, fish 40 %`, with `(planned for 11:20; go early)` when that applies; empty without a fallback. */
export function fallbackText({ fallbacks }: PlannedStop, at: number): string {
  const fallback = fallbacks[at];
  if (fallback === undefined) return '';
  const { seconds, plannedFor } = fallback;
  const planned = plannedFor === undefined ? '' : ` (planned for ${formatClock(plannedFor)}; go early)`;
  return `${stopName(fallback)}, ${minutesOf(seconds)} min run, fish ${percentText(fallback)}${planned}`;
}
