import type { CastPlan } from '../contract/index.ts';

/** A length among the fish below this counts as no contact, m. */
const MIN_CONTACT = 1;

/** The shallow side goes first only when it is worth more than this many times the deep side. */
const DEEP_SIDE_FIRST = 2;

/** Two casts tie when they differ by at most this share of the better one: a few more soundings may change as much. */
const TIE_SHARE = 0.07;
/** Two casts also tie when they differ by at most this many standard deviations of the difference. */
const TIE_DEVIATIONS = 0.3;

/** What casts are ranked by. */
type Ranked = Pick<CastPlan, 'worth'>;

/** The casts of one spot: whole plans, or the parts of plans that were read back. */
export interface SpotCasts<P extends Ranked = CastPlan> {
  readonly downslope?: P;
  readonly upslope?: P;
  readonly angles?: readonly P[];
}

/** True for a cast that touches among the fish or, where they are off the bottom, runs through them. */
export const isWorthWriting = ({ worth }: Ranked): boolean => worth >= MIN_CONTACT;

/** True for two casts that tie. @param best Worth of the better cast, m. @param sd Of `difference`, m. */
export const isTie = (difference: number, best: number, sd: number): boolean =>
  difference <= Math.max(TIE_SHARE * best, TIE_DEVIATIONS * sd);

/** True when the deep and the shallow side tie for the first cast. */
export function isOrderTied(downslope: CastPlan, upslope: CastPlan): boolean {
  const needed = DEEP_SIDE_FIRST * downslope.worth;
  const sd = Math.hypot(DEEP_SIDE_FIRST * downslope.fishContactSd, upslope.fishContactSd);
  return isTie(Math.abs(upslope.worth - needed), upslope.worth, sd);
}

/**
 * The casts of a spot that are worth making, in the order to try them: first, second, then the next angles.
 *
 * The deep side goes first unless the shallow side is worth more than twice as much.
 */
export function rankCasts<P extends Ranked>({ downslope, upslope, angles = [] }: SpotCasts<P>): P[] {
  const isUpslopeFirst = (upslope?.worth ?? 0) > DEEP_SIDE_FIRST * (downslope?.worth ?? 0);
  const sides = isUpslopeFirst ? [upslope, downslope] : [downslope, upslope];
  return [...sides, ...angles].filter((plan) => plan !== undefined).filter(isWorthWriting);
}
