import type { DayProblem, Side, Stop } from '../../shared/day/problem.ts';
import { planValue, Walk } from './walk.ts';

// Simple rules by which a user might plan, for comparison with the search.

const run = (problem: DayProblem, from: number, to: number): number =>
  problem.travel[from * (problem.count + 2) + to];

const betterSide = (problem: DayProblem, spot: number): Side =>
  problem.share[2 * spot + 1] > problem.share[2 * spot] ? 1 : 0;

/** Value of always going to the nearest spot not fished yet, for 30 minutes each. */
export const nearestNext = (problem: DayProblem): number => planValue(problem, nearestStops(problem)) ?? 0;

/** Stops of `nearestNext`. */
export const nearestStops = (problem: DayProblem): Stop[] =>
  chain(
    problem,
    Array.from({ length: problem.count }, (_, spot) => spot),
    1800,
  );

const byValue = (problem: DayProblem): number[] =>
  Array.from({ length: problem.count }, (_, spot) => spot).sort(
    (a, b) => problem.value[b] - problem.value[a],
  );

/**
 * Returns the value of fishing the k most valuable spots in nearest-next order, 30 minutes each.
 *
 * k is the number of stops that would fit without running, as a user might fix it beforehand.
 */
export function topThatFit(problem: DayProblem): number {
  const k = Math.floor((problem.finish - problem.start) / (problem.rest.setUp + 1800));
  return planned(problem, chain(problem, byValue(problem).slice(0, k), 1800));
}

/**
 * Returns the value of fishing the k most valuable spots in nearest-next order, 30 minutes each, with the
 * best k from 1 to 40.
 *
 * No user knows the best k beforehand, so this rule is harder to beat than `topThatFit`.
 */
export function topNearest(problem: DayProblem): number {
  const order = byValue(problem);
  let best = 0;
  for (let k = 1; k <= order.length && k <= 40; k++)
    best = Math.max(best, planned(problem, chain(problem, order.slice(0, k), 1800)));
  return best;
}

const planned = (problem: DayProblem, stops: readonly Stop[]): number => planValue(problem, stops) ?? 0;

function chain(problem: DayProblem, spots: readonly number[], stay: number): Stop[] {
  const index = problem.stays.indexOf(stay);
  const walk = new Walk(problem);
  const left = new Set(spots);
  const stops: Stop[] = [];
  while (left.size > 0) {
    const here = walk.node[walk.depth];
    const byRun = [...left].sort((a, b) => run(problem, here, a) - run(problem, here, b));
    const next = byRun.find((spot) => walk.push(spot, betterSide(problem, spot), index));
    if (next === undefined) break;
    left.delete(next);
    stops.push({ spot: next, side: betterSide(problem, next), stay: index });
  }
  return stops;
}

/** Value of always choosing the stop with the most value per second of run, wait, set-up and stay. */
export const bestRateNext = (problem: DayProblem): number => planned(problem, bestRateStops(problem));

/** Stops of `bestRateNext`. @param most Maximum number of stops. */
export function bestRateStops(problem: DayProblem, most = Infinity): Stop[] {
  const walk = new Walk(problem);
  const stops: Stop[] = [];
  while (stops.length < most) {
    let best: Stop | undefined;
    let bestRate = 0;
    for (let spot = 0; spot < problem.count; spot++) {
      for (const side of [0, 1] as const) {
        for (let stay = 0; stay < problem.stays.length; stay++) {
          const [value, time] = [walk.total, walk.departure[walk.depth]];
          if (!walk.push(spot, side, stay)) continue;
          const rate = (walk.total - value) / (walk.departure[walk.depth] - time);
          walk.pop();
          if (rate > bestRate) [best, bestRate] = [{ spot, side, stay }, rate];
        }
      }
    }
    if (best === undefined) break;
    walk.push(best.spot, best.side, best.stay);
    stops.push(best);
  }
  return stops;
}
