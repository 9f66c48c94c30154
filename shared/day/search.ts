import { randomIndex, seededRandom } from '../math/index.ts';
import { climb } from './hill-climber.ts';
import { fill, type InsertionStyle } from './insertion.ts';
import type { DayProblem } from './problem.ts';
import { isBetter, type Order, Scorer } from './scorer.ts';

export const SEARCH_SETTINGS = {
  /** Maximum number of iterations; each removes some stops and fills the plan again. */
  iterations: 2500,
  seed: 1,
};

export type FoundPlan = ReturnType<typeof searchPlan>;

/** Rounds of annealing; the last round starts from an empty plan. */
const ROUNDS = 4;
/** Maximum number of stops of a short plan, which gets a local search in every iteration. */
const SHORT_PLAN = 14;
/** Temperature at the start of a round, as a share of the best plan's mean value per stop without bonuses. */
const WARMTH = 0.1;
/**
 * Maximum loss against the best plan for a long plan to get a local search, as a share of the best plan's
 * value without bonuses.
 */
const NEAR_BEST = 0.003;
/** Maximum difference of a spot's random factor from 1. */
const NOISE = 0.3;
const MAX_REMOVED = 12;
/** Maximum shares of the stops that one iteration removes, before rounding up: short plans, long plans. */
const SHORT_SHARE = 0.9;
const LONG_SHARE = 0.4;
/**
 * Powers 0, 1/2, 3/4, 1 and 5/4 of the seconds that an insertion adds; each repair draws one power.
 * Engines round `Math.sqrt` correctly, but may differ in the last bits of `**`.
 */
const WEIGHTS: readonly InsertionStyle['weigh'][] = [
  () => 1,
  (seconds) => Math.sqrt(seconds),
  (seconds) => Math.sqrt(seconds * Math.sqrt(seconds)),
  (seconds) => seconds,
  (seconds) => seconds * Math.sqrt(Math.sqrt(seconds)),
];

/** Maximum mean work per iteration, in scored stops; ends a round early if there are very many stops. */
const MAX_WORK = 60_000;

/**
 * Finds a good order of stops by best insertion, followed by destroy-and-repair with local search.
 *
 * The same problem and settings give the same plan, because the search is seeded and limited by iterations
 * and `MAX_WORK`, never by the clock. Source of the framework: Ropke & Pisinger 2006, Transportation Science
 * 40(4), doi:10.1287/trsc.1050.0135.
 */
export function searchPlan(
  problem: DayProblem,
  { iterations, seed } = SEARCH_SETTINGS,
  progress: (share: number) => void = () => {},
) {
  const scorer = new Scorer(problem);
  const random = seededRandom(seed);
  const plain: InsertionStyle = {
    weigh: (seconds) => seconds,
    luck: new Array<number>(scorer.count).fill(1),
  };
  const empty = scorer.score([]);
  let best = climb(scorer, fill(scorer, [], plain), plain, true);
  const isShort = best.stops.length <= SHORT_PLAN;
  const length = Math.ceil(iterations / ROUNDS);
  for (let round = 0; round < ROUNDS && best.stops.length > 0; round++) {
    let current = round === ROUNDS - 1 ? empty : best;
    const [before, most] = [scorer.work, length * MAX_WORK];
    for (let iteration = 0; iteration < length && scorer.work - before < most; iteration++) {
      const left = current.stops.length === 0 ? current.stops : someRemoved(scorer, current, random);
      const luck = plain.luck.map(() => 1 + NOISE * (2 * random() - 1));
      const weigh = WEIGHTS[randomIndex(random, WEIGHTS.length)];
      let order = fill(scorer, left, { weigh, luck });
      const fish = best.value - bonusOf(scorer, best);
      if (isShort || order.value >= best.value - fish * NEAR_BEST) order = climb(scorer, order, plain, false);
      if (isBetter(order, best)) order = climb(scorer, order, plain, true);
      if (isBetter(order, best)) best = order;
      const done = Math.max(iteration / length, (scorer.work - before) / most);
      const warmth = (WARMTH * fish * (1 - done)) / best.stops.length;
      if (order.value > current.value + warmth * Math.log(random())) current = order;
      if (iteration % 100 === 99) progress((round + (iteration + 1) / length) / ROUNDS);
    }
  }
  return { stops: best.stops.map((packed) => scorer.unpack(packed)), value: best.value };
}

function bonusOf(scorer: Scorer, { stops }: Order): number {
  const { bonus, taken } = scorer.problem;
  if (bonus === undefined) return 0;
  const held = [...new Set(stops.map((packed) => scorer.spotOf(packed)))];
  return held.reduce((sum, spot) => sum + ((taken?.visits[spot] ?? 0) === 0 ? bonus[spot] : 0), 0);
}

/**
 * Removes a random number of stops, chosen in one of four ways: consecutive stops, lowest value per time with
 * a random factor, nearest to a random stop, or at random.
 */
function someRemoved(scorer: Scorer, order: Order, random: () => number): readonly number[] {
  const { stops } = order;
  const share = stops.length <= SHORT_PLAN ? SHORT_SHARE : LONG_SHARE;
  const most = Math.min(MAX_REMOVED, Math.ceil(stops.length * share));
  const count = 1 + randomIndex(random, most);
  const way = randomIndex(random, 4);
  if (way === 0) {
    const from = randomIndex(random, stops.length - count + 1);
    return stops.filter((_, at) => at < from || at >= from + count);
  }
  const center = scorer.spotOf(stops[randomIndex(random, stops.length)]) * scorer.width;
  if (way === 1) scorer.score(stops);
  const ranks = stops.map((packed, at) => {
    if (way === 3) return random();
    if (way === 2) return scorer.problem.travel[center + scorer.spotOf(packed)];
    const departed = at === 0 ? scorer.problem.start : scorer.depart[at - 1];
    return (scorer.worth[at] / (scorer.depart[at] - departed)) * (0.5 + random());
  });
  const limit = ranks.toSorted((a, b) => a - b)[count - 1];
  return stops.filter((_, at) => ranks[at] > limit);
}
