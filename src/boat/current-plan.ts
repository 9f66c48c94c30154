import {
  type DayPlan,
  type FishingSpot,
  type PlannedStop,
  type SideLetter,
  type SpotSide,
  sideLetter,
} from '../../shared/day/index.ts';
import type { FishedStop } from './entries.ts';

export interface CurrentPlan {
  readonly plan?: DayPlan;
  readonly coming: readonly PlannedStop[];
  /** The planned stop being fished. */
  readonly here?: PlannedStop;
  /** When the stop being fished began, s of the day. */
  readonly since?: number;
  /** Spot that the user chose to go to instead of the next stop. */
  readonly target?: { readonly mark: string; readonly side: SideLetter };
  /** Text on what a replanning changed, and the plan before it, until the user answers or begins a stop. */
  readonly change?: { readonly text: string; readonly before: Pick<CurrentPlan, 'plan' | 'coming'> };
  /** Time from which the rest of the day was last replanned, s of the day; absent until a replanning. */
  readonly from?: number;
  /** Command-line options that make the plan from the exported log. */
  readonly command?: string;
  /** Id of the last entry that the plan takes into account. */
  readonly plannedTo?: number;
  readonly problems?: readonly string[];
}

/**
 * Computes the current times of a stop, s of the day: `leave`, when to leave; `latest`, the latest time to
 * leave, undefined when the stop is not in the plan; and `giveUp`, when to leave if nothing more bites. A
 * stop that began late ends by `latest`, but lasts at least a minute. A stop that began early ends early.
 *
 * @param rules Durations, s; `giveUp` and `usualStay` are for a stop that is not in the plan.
 */
export function leaveTimes(
  stop: FishedStop,
  { here, since }: CurrentPlan,
  rules: Readonly<Record<'setUp' | 'giveUp' | 'usualStay', number>>,
) {
  const begin = since ?? stop.start;
  const fishing = begin + rules.setUp;
  const latest = here?.latestLeave;
  const full = fishing + (here?.stay ?? rules.usualStay);
  const leave = latest === undefined ? full : Math.max(begin + 60, Math.min(full, latest));
  const lastBite = Math.max(stop.lastBite, fishing);
  return { leave, latest, giveUp: Math.min(leave, lastBite + (here?.giveUp ?? rules.giveUp)) };
}

/** Returns the latest arrival at a stop that still allows the whole stay, s of the day. */
export const latestArrival = ({ latestLeave, begin, leave }: PlannedStop): number =>
  latestLeave - (leave - begin);

/** Returns the side of a spot that has the letter, else the first side. */
export const sideOf = (spot: FishingSpot, letter: SideLetter): SpotSide =>
  spot.sides.find((side) => sideLetter(side) === letter) ?? spot.sides[0];

/**
 * Returns the plan after a stop has begun at a spot. The first upcoming stop there, on the given side if
 * possible, becomes `here`.
 */
export function begun(hand: CurrentPlan, mark: string, side: SideLetter, since: number): CurrentPlan {
  const isOf = ({ spot }: PlannedStop): boolean => spot.marks.includes(mark);
  const at = hand.coming.findIndex((stop) => isOf(stop) && sideLetter(stop.side) === side);
  const found = at < 0 ? hand.coming.findIndex(isOf) : at;
  return {
    ...hand,
    here: hand.coming[found],
    since,
    coming: hand.coming.filter((_, index) => index !== found),
    target: undefined,
    change: undefined,
  };
}
