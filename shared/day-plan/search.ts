import { type Found, improve, isBetter } from './improve.ts';
import { fillSequence, PLAIN_STYLE } from './insertion.ts';
import type { DayProblem, Stop } from './problem.ts';
import { randomIndex, seededRandom } from './random.ts';
import { type ScoreTables, scoreTables } from './screening.ts';
import { type Sequence, scoreSequence, spotOf, unpackStop } from './sequence.ts';
import { Walk } from './walk.ts';

export interface SearchSettings {
  /** Rounds of taking stops out and putting others in. */
  readonly iterations: number;
  readonly seed: number;
}

export const SEARCH_SETTINGS: SearchSettings = { iterations: 800, seed: 1 };

export interface FoundPlan {
  readonly stops: readonly Stop[];
  /** Fish expected. */
  readonly value: number;
}

/**
 * A good order of stops: best insertion, then adaptive destroy and repair with local search.
 *
 * Bounded by iterations, never by the clock, and seeded: the same problem and settings give the same plan.
 * Source of the frame: Ropke & Pisinger 2006, Transportation Science 40(4), doi:10.1287/trsc.1050.0135.
 */
export function searchPlan(
  problem: DayProblem,
  settings: SearchSettings = SEARCH_SETTINGS,
  progress: (share: number) => void = () => {},
): FoundPlan {
  const tables = scoreTables(problem);
  const walk = new Walk(problem);
  const random = seededRandom(settings.seed);
  const first: Sequence = [];
  fillSequence(tables, walk, first, PLAIN_STYLE);
  let best = improve(tables, walk, first, true);
  const isShort = best.sequence.length <= SHORT_PLAN;
  const rounds = isShort ? SHORT_ROUNDS : 1;
  const length = isShort
    ? Math.ceil((settings.iterations * shortEffort(problem.count)) / rounds)
    : settings.iterations;
  for (let round = 0; round < rounds; round++) {
    const from = round % 2 === 0 ? best.sequence : [];
    const found = anneal(tables, walk, from, length, random, (share) => progress((round + share) / rounds));
    if (isBetter(found.score, best.score)) best = found;
  }
  return { stops: best.sequence.map((packed) => unpackStop(problem, packed)), value: best.score.value };
}

/** Plans up to this many stops: a local search every time and restarts, which tight windows need. */
const SHORT_PLAN = 14;
/** Restarts of a short plan, every second one from nothing. */
const SHORT_ROUNDS = 6;
/** Iterations of a short plan for each one asked for: they cost little among few spots. */
const shortEffort = (count: number): number => Math.min(3, Math.max(0.5, 40 / Math.max(1, count)));
/** Temperature at the start of a round, in mean stops of the plan. */
const WARMTH = 0.1;
/** Longer plans get a local search only this close to the best. */
const NEAR_BEST = 0.02;
const NOISE = 0.3;
const LEAST_EXPONENT = 0.7;
const MOST_EXPONENT = 2;

function anneal(
  tables: ScoreTables,
  walk: Walk,
  from: Sequence,
  iterations: number,
  random: () => number,
  progress: (share: number) => void,
): Found {
  const stays = tables.problem.stays.length;
  const weights = DESTROYERS.map(() => 1);
  let best: Found = { sequence: from, score: scoreSequence(walk, stays, from) };
  let current = best;
  const workBefore = walk.work;
  for (let iteration = 0; iteration < iterations; iteration++) {
    const chosen = pick(weights, random);
    const sequence = current.sequence.slice();
    DESTROYERS[chosen](tables, walk, sequence, random);
    const exponent = LEAST_EXPONENT * (MOST_EXPONENT / LEAST_EXPONENT) ** random();
    fillSequence(tables, walk, sequence, { exponent, timePower: 1, noise: NOISE, random });
    let candidate: Found = { sequence, score: scoreSequence(walk, stays, sequence) };
    if (isWorthImproving(candidate, best, (walk.work - workBefore) / (iteration + 1))) {
      candidate = improve(tables, walk, sequence, false);
      if (isBetter(candidate.score, best.score)) candidate = improve(tables, walk, candidate.sequence, true);
    }
    const warmth =
      (WARMTH * best.score.value * (1 - iteration / iterations)) / Math.max(1, best.sequence.length);
    const reward = isBetter(candidate.score, best.score)
      ? 4
      : isBetter(candidate.score, current.score)
        ? 2
        : 0.5;
    weights[chosen] = 0.9 * weights[chosen] + 0.1 * reward;
    if (isBetter(candidate.score, best.score)) best = candidate;
    if (iteration % 50 === 49) progress((iteration + 1) / iterations);
    if (candidate.score.value > current.score.value + warmth * Math.log(random())) current = candidate;
  }
  return best;
}

/** True for a plan that a local search may make the best; long plans only as far as the work allowed goes. */
function isWorthImproving(candidate: Found, best: Found, workAnIteration: number): boolean {
  if (candidate.sequence.length <= SHORT_PLAN) return true;
  return candidate.score.value >= best.score.value * (1 - NEAR_BEST) && workAnIteration <= MOST_WORK;
}

/** Stops tried for each iteration of a long plan: many stops of like value would take ever longer. */
const MOST_WORK = 24_000;

function pick(weights: readonly number[], random: () => number): number {
  let left = random() * weights.reduce((sum, weight) => sum + weight, 0);
  for (let at = 0; at < weights.length - 1; at++) {
    left -= weights[at];
    if (left < 0) return at;
  }
  return weights.length - 1;
}

type Destroyer = (tables: ScoreTables, walk: Walk, sequence: Sequence, random: () => number) => void;

/** Ways of taking stops out of a sequence, in place. */
const DESTROYERS: readonly Destroyer[] = [removeSegment, removeRandom, removeWorst, removeNearby];

const MOST_REMOVED = 12;
/** Most of the stops that one iteration takes out, of a short plan and of a longer one. */
const SHORT_REMOVED = 0.9;
const LONG_REMOVED = 0.4;

/** At least 1 and at most 12 stops. */
function removalCount(length: number, random: () => number): number {
  const share = length <= SHORT_PLAN ? SHORT_REMOVED : LONG_REMOVED;
  return Math.min(length, MOST_REMOVED, 1 + randomIndex(random, Math.max(1, Math.ceil(length * share))));
}

function removeSegment(_: ScoreTables, __: Walk, sequence: Sequence, random: () => number): void {
  const count = removalCount(sequence.length, random);
  sequence.splice(randomIndex(random, sequence.length - count + 1), count);
}

function removeRandom(_: ScoreTables, __: Walk, sequence: Sequence, random: () => number): void {
  for (let left = removalCount(sequence.length, random); left > 0; left--) {
    sequence.splice(randomIndex(random, sequence.length), 1);
  }
}

/** Stops with the least value for the time they cost, with some luck. */
function removeWorst({ problem }: ScoreTables, walk: Walk, sequence: Sequence, random: () => number): void {
  const stays = problem.stays.length;
  scoreSequence(walk, stays, sequence);
  const ratio = sequence.map((_, at) => {
    const gain = walk.value[at + 1] - walk.value[at];
    return (gain / (walk.departure[at + 1] - walk.departure[at])) * (0.5 + random());
  });
  for (let left = removalCount(sequence.length, random); left > 0; left--) {
    const worst = ratio.indexOf(Math.min(...ratio));
    sequence.splice(worst, 1);
    ratio.splice(worst, 1);
  }
}

/** Stops near one of them on the water. */
function removeNearby({ problem }: ScoreTables, _: Walk, sequence: Sequence, random: () => number): void {
  if (sequence.length === 0) return;
  const count = removalCount(sequence.length, random);
  const center = spotOf(problem, sequence[randomIndex(random, sequence.length)]);
  const far = sequence.map(
    (packed) => problem.travel[center * (problem.count + 2) + spotOf(problem, packed)],
  );
  for (let left = count; left > 0; left--) {
    const nearest = far.indexOf(Math.min(...far));
    sequence.splice(nearest, 1);
    far.splice(nearest, 1);
  }
}
