import type { DayPlan, FishingSpot, PlannedStop, SpotSide } from '../../shared/day/index.ts';
import { sideLetter } from '../../shared/day/index.ts';
import type { FishedStop } from './entries.ts';

/** What the hand holds of the plan: kept on the phone as it is. */
export interface HandPlan {
  readonly plan?: DayPlan;
  /** Stops still to come. */
  readonly coming: readonly PlannedStop[];
  /** The stop of the plan that is being fished, and s of the day since when that spot is. */
  readonly here?: PlannedStop;
  readonly since?: number;
  /** A spot that is gone to next instead of the next stop. */
  readonly target?: { readonly mark: string; readonly side: 'D' | 'U' };
  /** What the last plan changed, with what there was before, until it is taken or refused. */
  readonly change?: { readonly text: string; readonly before: Pick<HandPlan, 'plan' | 'coming'> };
  /** s of the day from which it was planned, and what the command line is given to make it from the exported log. */
  readonly from?: number;
  readonly command?: string;
  /** Entries up to this one are in it. */
  readonly plannedTo?: number;
  readonly problems?: readonly string[];
}

/** Rules of a stay that the plan goes by, s. */
export interface StayRules {
  readonly setUp: number;
  readonly giveUp: number;
  /** Of a stop that the plan does not hold. */
  readonly usualStay: number;
}

/** When to leave the stop that is being fished, s of the day. */
export interface LeaveTimes {
  readonly leave: number;
  /** Absent where the plan does not hold the stop. */
  readonly latest?: number;
  /** Without a bite until then it is given up. */
  readonly giveUp: number;
}

/**
 * Times to leave as they now are: a stop that began late is not fished past its latest minute, one that began early ends
 * early.
 */
export function leaveTimes(stop: FishedStop, { here, since }: HandPlan, rules: StayRules): LeaveTimes {
  const begin = since ?? stop.start;
  const fishing = begin + rules.setUp;
  const latest = here?.latestLeave;
  const full = fishing + (here?.stay ?? rules.usualStay);
  const leave = latest === undefined ? full : Math.max(begin + 60, Math.min(full, latest));
  const lastBite = Math.max(stop.lastBite, fishing);
  return { leave, latest, giveUp: Math.min(leave, lastBite + (here?.giveUp ?? rules.giveUp)) };
}

/** The latest arrival at a stop that still leaves its whole stay, s of the day. */
export const latestArrival = ({ latestLeave, begin, leave }: PlannedStop): number =>
  latestLeave - (leave - begin);

/** The side of a spot by its letter; the first where it has no such side. */
export const sideOf = (spot: FishingSpot, letter: 'D' | 'U'): SpotSide =>
  spot.sides.find((side) => sideLetter(side) === letter) ?? spot.sides[0];

/** A plan after a stop begins at a spot: the first of its stops there is taken from those to come. */
export function begun(hand: HandPlan, mark: string, side: 'D' | 'U', since: number): HandPlan {
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
