import { mean } from 'd3-array';
import type { DayPlanOptions } from './options.ts';
import { type BagLine, type BagRules, bagLines, type StopPromise } from './outlook.ts';
import { shiftChance } from './pattern.ts';
import { factorAt, type Stop } from './problem.ts';
import { scoreOrder } from './scorer.ts';
import type { Setup } from './set-up.ts';
import { gainOver, parseWeight } from './sizes.ts';

/**
 * Returns the rules of the bag with the weights of the fish logged today. A fish without a logged size counts
 * as `options.fishWeight`.
 */
export function bagRules({ logged }: Pick<Setup, 'logged'>, options: DayPlanOptions): BagRules {
  const usual = parseWeight(options.fishWeight) ?? 1;
  const held = logged
    .filter(({ date }) => date === options.date)
    .flatMap(({ fish, weights }) => [
      ...weights,
      ...new Array<number>(Math.max(0, fish - weights.length)).fill(usual),
    ]);
  return { limit: options.limit, keeper: parseWeight(options.keeper) ?? 0, held };
}

const GIVE_UP_SHARE = 0.75;

/** Returns the time without a bite after which a stop is given up, s of fishing. @param usual Maximum, s. */
export const giveUpAfter = (stay: number, usual: number): number => Math.min(usual, GIVE_UP_SHARE * stay);

/** Computes the expected results of each stop of an order. @param giveUp `usual` of `giveUpAfter`, s. */
export function promisesOf(stops: readonly Stop[], setup: Setup, giveUp: number): StopPromise[] {
  const { problem, chances, weights, weightSpreads } = setup;
  const { scorer } = scoreOrder(problem, stops);
  return stops.map(({ spot, side, stay }, at) => {
    const begin = scorer.begin[at];
    const yields = 1 - Math.exp(-problem.stays[stay] / problem.rest.theta);
    const caught = scorer.stock[at] * yields * problem.share[2 * spot + side];
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
      to: scorer.depart[at],
      giveUp: giveUpAfter(problem.stays[stay], giveUp),
    };
  });
}

/**
 * Computes how much one more fish of each spot counts: the weight that the fish adds to the bag, averaged
 * over drawn days of an order. The factors are scaled to a mean of 1 and then averaged with `before`.
 *
 * A drawn day counts for a spot in proportion to the fish expected at the spot on that day. This matters
 * where the chance is low: fish bite there mostly on good days, when the bag is full of better fish.
 *
 * @param before Previous factors. When empty, two bags replace the drawn days: an empty bag, and a full bag
 * whose lightest fish has the mean weight of all spots.
 * @returns Factor by spot; 1 everywhere if no fish adds weight.
 */
export function bagFactors(
  stops: readonly Stop[],
  before: ArrayLike<number>,
  setup: Setup,
  rules: BagRules,
  giveUp: number,
): Float64Array<ArrayBuffer> {
  const { weights, chances } = setup;
  const plain = { level: 0, more: 1, heavier: 1 };
  const lines: readonly BagLine[] =
    before.length === 0
      ? [0, mean(weights) ?? 0].map((lightest) => ({ ...plain, lightest }))
      : bagLines(promisesOf(stops, setup, giveUp), rules, setup.uncertainty);
  const gains = Float64Array.from(weights, (weight, spot) => {
    const chance = chances[spot];
    const gain = mean(
      lines,
      ({ lightest, level, more, heavier }) =>
        more * shiftChance(chance, level) * gainOver(weight * heavier, lightest, rules.keeper),
    );
    return chance > 0 ? gain! / chance : 0;
  });
  const usual = mean(gains) ?? 0;
  if (!(usual > 0)) return new Float64Array(weights.length).fill(1);
  return gains.map((gain, spot) => (gain / usual + (before[spot] ?? gain / usual)) / 2);
}
