import type { CastPlan } from '../contract/index.ts';

/** Minimum length among the fish of a cast worth making, m; judgment. */
const MIN_CONTACT = 1;

/** Factor by which the shallow side must beat the deep side to go first; judgment. */
const DEEP_SIDE_FIRST = 2;

/**
 * Maximum difference between tied casts, as a share of the better cast. A few more soundings could change the
 * difference by as much.
 */
const TIE_SHARE = 0.07;
/** As `TIE_SHARE`, in standard deviations of the difference; the larger of the two limits applies. */
const TIE_DEVIATIONS = 0.3;

type Ranked = Pick<CastPlan, 'worth'>;

/** The casts of one spot, as whole plans or as the parts of plans that the caller needs. */
export interface SpotCasts<P extends Ranked = CastPlan> {
  readonly downslope?: P;
  readonly upslope?: P;
  readonly angles?: readonly P[];
}

/** True for a cast long enough on bottom among the fish, or at the depth of suspended fish. */
export const isWorthWriting = ({ worth }: Ranked): boolean => worth >= MIN_CONTACT;

/**
 * True when two casts tie.
 *
 * @param difference Difference between the values by which the casts are compared, m.
 * @param best Value of the better cast, m.
 * @param sd Standard deviation of `difference`, m.
 */
export const isTie = (difference: number, best: number, sd: number): boolean =>
  difference <= Math.max(TIE_SHARE * best, TIE_DEVIATIONS * sd);

/** True when the shallow side is worth about `DEEP_SIDE_FIRST` times the deep side: either may go first. */
export function isOrderTied(downslope: CastPlan, upslope: CastPlan): boolean {
  const needed = DEEP_SIDE_FIRST * downslope.worth;
  const sd = Math.hypot(DEEP_SIDE_FIRST * downslope.fishContactSd, upslope.fishContactSd);
  return isTie(Math.abs(upslope.worth - needed), upslope.worth, sd);
}

/**
 * Returns the casts of a spot that are worth making, in order: first, second, then the next angles.
 *
 * The deep side goes first unless the shallow side is worth more than twice as much.
 */
export function rankCasts<P extends Ranked>({ downslope, upslope, angles = [] }: SpotCasts<P>): P[] {
  const isUpslopeFirst = (upslope?.worth ?? 0) > DEEP_SIDE_FIRST * (downslope?.worth ?? 0);
  const sides = isUpslopeFirst ? [upslope, downslope] : [downslope, upslope];
  return [...sides, ...angles].filter((plan) => plan !== undefined).filter(isWorthWriting);
}
