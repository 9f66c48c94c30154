import type { CastPlan } from '../contract/index.ts';

/** Less than this among the fish is no contact with them, m. */
export const LEAST_CONTACT = 1;

/** The shallow side goes first only when it is worth more than this many times the deep side. */
const DEEP_SIDE_FIRST = 2;

/** The casts of one spot. */
export interface SpotCasts {
  readonly downslope?: CastPlan;
  readonly upslope?: CastPlan;
  readonly angles?: readonly CastPlan[];
}

/** True for a cast that touches among the fish or, where they are off the bottom, runs through them. */
export const isWorthWriting = ({ worth }: CastPlan): boolean => worth >= LEAST_CONTACT;

/**
 * The casts of a spot that are worth making, in the order to try them: first, second, then the next angles.
 *
 * The deep side goes first unless the shallow side is worth more than twice as much.
 */
export function rankCasts({ downslope, upslope, angles = [] }: SpotCasts): CastPlan[] {
  const isUpslopeFirst = (upslope?.worth ?? 0) > DEEP_SIDE_FIRST * (downslope?.worth ?? 0);
  const sides = isUpslopeFirst ? [upslope, downslope] : [downslope, upslope];
  return [...sides, ...angles].filter((plan) => plan !== undefined).filter(isWorthWriting);
}

/** Worth of a spot: that of its best cast, m; 0 where no cast is worth making. */
export const spotWorth = (casts: SpotCasts): number =>
  Math.max(0, ...rankCasts(casts).map(({ worth }) => worth));
