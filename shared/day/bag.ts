import type { DayPlanOptions } from './options.ts';
import { type BagLine, type BagRules, bagLines, type StopPromise } from './outlook.ts';
import { shiftChance } from './pattern.ts';
import type { Stop } from './problem.ts';
import type { Setup } from './set-up.ts';
import { gainOver, parseWeight } from './sizes.ts';
import { factorAt, Walk } from './walk.ts';

/** What counts for the bag of the day. */
export function bagRules({ logged }: Pick<Setup, 'logged'>, options: DayPlanOptions): BagRules {
  const usual = parseWeight(options.fishWeight) ?? 1;
  const held = logged
    .filter(({ date }) => date === options.date)
    .flatMap(({ fish, weights }) => [
      ...weights,
      ...Array.from({ length: Math.max(0, fish - weights.length) }, () => usual),
    ]);
  return { limit: options.limit, keeper: parseWeight(options.keeper) ?? 0, held };
}

/** The part of a stay after which a stop without a bite is given up at the latest: leaving has to come before staying on. */
const GIVE_UP_SHARE = 0.75;

/** s of fishing without a bite after which a stop is given up. @param usual s, for a stop of any length. */
export const giveUpAfter = (stay: number, usual: number): number => Math.min(usual, GIVE_UP_SHARE * stay);

/** What each stop of an order may give. @param giveUp s, as with `giveUpAfter`. */
export function promisesOf(stops: readonly Stop[], setup: Setup, giveUp: number): StopPromise[] {
  const { problem, chances, weights, weightSpreads } = setup;
  const walk = new Walk(problem);
  return stops.map(({ spot, side, stay }) => {
    walk.push(spot, side, stay);
    const { depth } = walk;
    const begin = walk.begin[depth];
    const yields = 1 - Math.exp(-problem.stays[stay] / problem.rest.theta);
    const caught = walk.stock[depth] * yields * problem.share[2 * spot + side];
    return {
      spot,
      chance: chances[spot],
      fish:
        chances[spot] === 0
          ? 0
          : (problem.value[spot] / chances[spot]) * caught * factorAt(problem, spot, begin),
      weight: weights[spot],
      weightSpread: weightSpreads[spot],
      from: begin + problem.rest.setUp,
      to: walk.departure[depth],
      giveUp: giveUpAfter(problem.stays[stay], giveUp),
    };
  });
}

/**
 * What one more fish of each spot counts for: the weight that it adds to the bag on average over drawn days of an order,
 * 1 on average over the spots; the mean of that and the factors before.
 *
 * A drawn day counts for a spot as much as it makes fish bite there: a spot of which little is hoped bites on days on which
 * all do, and then the bag is full of better ones.
 *
 * @param before Empty for none: the factors are then those of a full bag of ordinary fish and none, half each.
 */
export function bagFactors(
  stops: readonly Stop[],
  before: ArrayLike<number>,
  setup: Setup,
  rules: BagRules,
  giveUp: number,
): Float64Array<ArrayBuffer> {
  const { weights, chances } = setup;
  const middle = weights.reduce((sum, weight) => sum + weight, 0) / weights.length;
  const plain = { level: 0, more: 1, heavier: 1 };
  const lines: readonly BagLine[] =
    before.length === 0
      ? [0, middle].map((lightest) => ({ ...plain, lightest }))
      : bagLines(promisesOf(stops, setup, giveUp), rules, setup.doubt);
  const gains = Float64Array.from(weights, (weight, spot) => {
    const sum = lines.reduce(
      (total, { lightest, level, more, heavier }) =>
        total + more * shiftChance(chances[spot], level) * gainOver(weight * heavier, lightest, rules.keeper),
      0,
    );
    return chances[spot] > 0 ? sum / (lines.length * chances[spot]) : 0;
  });
  const mean = gains.reduce((sum, gain) => sum + gain, 0) / gains.length;
  if (!(mean > 0)) return new Float64Array(weights.length).fill(1);
  const even = gains.map((gain) => gain / mean);
  return before.length === 0 ? even : even.map((gain, spot) => (gain + before[spot]) / 2);
}
