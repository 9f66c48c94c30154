import { randomIndex, seededRandom } from '../math/index.ts';
import { MAX_LUCK } from './gaps.ts';
import { HillClimber } from './hill-climber.ts';
import { inserter } from './insertion.ts';
import type { DayProblem, Stop } from './problem.ts';
import { type CandidatePlan, copyCandidate, isBetter, removeAt, Scorer } from './scorer.ts';

export interface SearchSettings {
  /** Rounds of removing stops and inserting others. */
  readonly iterations: number;
  readonly seed: number;
}

export const SEARCH_SETTINGS: SearchSettings = { iterations: 2500, seed: 1 };

export interface FoundPlan {
  readonly stops: readonly Stop[];
  /** Number of fish expected. */
  readonly value: number;
}

/**
 * A good order of stops, found by best insertion followed by adaptive destroy-and-repair with local search.
 *
 * The search is limited by iterations, never by the clock, and is seeded, so the same problem and settings give the
 * same plan. Source of the framework: Ropke & Pisinger 2006, Transportation Science 40(4), doi:10.1287/trsc.1050.0135.
 */
export function searchPlan(
  problem: DayProblem,
  settings: SearchSettings = SEARCH_SETTINGS,
  progress: (share: number) => void = () => {},
): FoundPlan {
  const scorer = new Scorer(problem);
  const best = search(scorer, settings, progress);
  const stops = Array.from(best.stops.subarray(0, best.length), (packed) => scorer.unpack(packed));
  return { stops, value: best.value };
}

/** Plans of up to this many stops get a local search in every iteration and restarts, which tight windows need. */
const SHORT_PLAN = 14;
/** Annealing rounds for a short plan and for a longer one. Every second round of a short plan starts from nothing. */
const SHORT_ROUNDS = 6;
const LONG_ROUNDS = 4;
/** Temperature at the start of a round, as a multiple of the plan's mean value per stop. */
const WARMTH = 0.1;
/** Longer plans get a local search only when this close to the best. */
const NEAR_BEST = 0.03;
/** Luck in repairs is 1 plus or minus this. */
const NOISE = MAX_LUCK - 1;
/** Exponents of the gain that repairs alternate between. */
const EXPONENTS = [0.7, 0.85, 1, 1.25, 1.5, 2] as const;
const MAX_REMOVED = 12;
/** Greatest share of stops removed in one iteration, for a short plan and for a longer one. */
const SHORT_REMOVED = 0.9;
const LONG_REMOVED = 0.4;

/**
 * Stops scored and spots screened per iteration. The limit ends the search of a day of very many short stops sooner.
 */
const MAX_WORK = 18_000;

/** The search itself. @returns The best order found. */
function search(
  scorer: Scorer,
  { iterations, seed }: SearchSettings,
  progress: (share: number) => void,
): CandidatePlan {
  const fill = inserter(scorer);
  const climber = new HillClimber(scorer, fill);
  const random = seededRandom(seed);
  const luck = new Float64Array(scorer.count).fill(1);
  const [best, current, candidate] = [scorer.newCandidate(), scorer.newCandidate(), scorer.newCandidate()];

  function anneal(length: number, isShort: boolean, report: (share: number) => void): void {
    const weights = REMOVALS.map(() => 1);
    const most = scorer.work + length * MAX_WORK;
    for (let iteration = 0; iteration < length && scorer.work <= most; iteration++) {
      const chosen = pick(weights, random);
      copyCandidate(current, candidate);
      if (candidate.length > 0)
        REMOVALS[chosen](scorer, candidate, removalCount(candidate.length, random), random);
      for (let spot = 0; spot < scorer.count; spot++) luck[spot] = 1 + NOISE * (2 * random() - 1);
      const exponent = EXPONENTS[randomIndex(random, EXPONENTS.length)];
      fill(candidate, { exponent, luck });
      scorer.score(candidate);
      if (isShort || candidate.value >= best.value - (best.value - scorer.bonusOf(best)) * NEAR_BEST) {
        climber.climb(candidate, false);
        if (isBetter(candidate, best)) climber.climb(candidate, true);
      }
      const isBest = isBetter(candidate, best);
      const reward = isBest ? 4 : isBetter(candidate, current) ? 2 : 0.5;
      weights[chosen] = 0.9 * weights[chosen] + 0.1 * reward;
      if (isBest) copyCandidate(candidate, best);
      const warmth =
        (WARMTH * (best.value - scorer.bonusOf(best)) * (1 - iteration / length)) / Math.max(1, best.length);
      if (candidate.value > current.value + warmth * Math.log(random())) copyCandidate(candidate, current);
      if (iteration % 200 === 199) report((iteration + 1) / length);
    }
  }

  fill(best, { exponent: 1, luck });
  scorer.score(best);
  climber.climb(best, true);
  if (best.length === 0) return best;
  const isShort = best.length <= SHORT_PLAN;
  const rounds = isShort ? SHORT_ROUNDS : LONG_ROUNDS;
  for (let round = 0; round < rounds; round++) {
    copyCandidate(best, current);
    if (isShort && round % 2 === 1) current.length = 0;
    scorer.score(current);
    anneal(Math.ceil(iterations / rounds), isShort, (share) => progress((round + share) / rounds));
  }
  return best;
}

/** Number of stops to remove, 1 to 12. */
function removalCount(length: number, random: () => number): number {
  const share = length <= SHORT_PLAN ? SHORT_REMOVED : LONG_REMOVED;
  const most = Math.min(length, MAX_REMOVED, Math.ceil(length * share));
  return 1 + randomIndex(random, Math.max(1, most));
}

function pick(weights: readonly number[], random: () => number): number {
  let left = random() * weights.reduce((sum, weight) => sum + weight, 0);
  for (let at = 0; at < weights.length - 1; at++) {
    left -= weights[at];
    if (left < 0) return at;
  }
  return weights.length - 1;
}

/** Removes `count` stops from a scored candidate. */
type Removal = (scorer: Scorer, candidate: CandidatePlan, count: number, random: () => number) => void;

/** Ways to remove stops. */
const REMOVALS: readonly Removal[] = [removeSegment, removeRandom, removeWorst, removeNearby];

function removeSegment(_: Scorer, candidate: CandidatePlan, count: number, random: () => number): void {
  const from = randomIndex(random, candidate.length - count + 1);
  for (let left = count; left > 0; left--) removeAt(candidate, from);
}

function removeRandom(_: Scorer, candidate: CandidatePlan, count: number, random: () => number): void {
  for (let left = count; left > 0; left--) removeAt(candidate, randomIndex(random, candidate.length));
}

/** Removes the stops with the least value for their time, partly at random. */
function removeWorst(scorer: Scorer, candidate: CandidatePlan, count: number, random: () => number): void {
  scorer.score(candidate);
  const ratios = Array.from({ length: candidate.length }, (_, at) => {
    const departed = at === 0 ? scorer.problem.start : scorer.depart[at - 1];
    return (scorer.worth[at] / (scorer.depart[at] - departed)) * (0.5 + random());
  });
  removeLeast(candidate, ratios, count);
}

/** Removes a stop and others near it on the water. */
function removeNearby(scorer: Scorer, candidate: CandidatePlan, count: number, random: () => number): void {
  const { problem, width } = scorer;
  const stops = candidate.stops.subarray(0, candidate.length);
  const center = scorer.spotOf(stops[randomIndex(random, stops.length)]) * width;
  const far = Array.from(stops, (packed) => problem.travel[center + scorer.spotOf(packed)]);
  removeLeast(candidate, far, count);
}

function removeLeast(candidate: CandidatePlan, values: number[], count: number): void {
  for (let left = count; left > 0; left--) {
    const least = values.indexOf(Math.min(...values));
    removeAt(candidate, least);
    values.splice(least, 1);
  }
}
