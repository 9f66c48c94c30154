import { expect, test } from 'vitest';
import type { DayProblem, Side, Stop } from '../../shared/day/problem.ts';
import { Scorer } from '../../shared/day/scorer.ts';
import { searchPlan } from '../../shared/day/search.ts';
import { seededRandom } from '../../shared/math/statistics.ts';
import { provedPlan } from './exact.ts';
import { inventedDay } from './instances.ts';
import { programValue } from './integer-program.ts';
import { orienteeringDay, PUBLISHED_BEST, provedScores } from './orienteering-set.ts';
import { recompute } from './recompute.ts';
import { readReferenceCases } from './reference-cases.ts';
import { planValue } from './walk.ts';

const QUICK = { iterations: 200, seed: 1 };

test('small days with revisits come within 1 % of the value proven by branch and bound', () => {
  const gaps: number[] = [];
  for (const count of [5, 6, 7, 8]) {
    for (const seed of [1, 2, 3]) {
      const problem = inventedDay({ count, seed, day: 11_400, stays: [1200, 1800], windows: 0.25 });
      gaps.push(1 - searchPlan(problem, QUICK).value / provedPlan(problem).value);
    }
  }
  expect(Math.min(...gaps)).toBeGreaterThan(-1e-9);
  expect(Math.max(...gaps)).toBeLessThanOrEqual(0.01);
  expect(gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length).toBeLessThanOrEqual(0.002);
});

const cases = readReferenceCases();
test('the 20 reference days come within 0.2 % of the proven value on average, and 1 % at worst', () => {
  const gaps = cases.map(
    ({ problem, optimum }) => 1 - searchPlan(problem, { iterations: 400, seed: 1 }).value / optimum,
  );
  expect(gaps).toHaveLength(20);
  expect(Math.min(...gaps)).toBeGreaterThan(-1e-6);
  expect(Math.max(...gaps)).toBeLessThanOrEqual(0.01);
  expect(gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length).toBeLessThanOrEqual(0.002);
});

test('days without revisits reach the optimum of the integer program', async () => {
  for (const seed of [1, 2, 3]) {
    const problem = inventedDay({
      count: 6,
      seed,
      day: 8_400,
      stays: [1200, 1800],
      maxVisits: 1,
      windows: 0.3,
    });
    expect(searchPlan(problem, QUICK).value).toBeCloseTo(await programValue(problem), 6);
  }
});

test('the published scores of an orienteering set for eleven lengths are proven again and reached exactly', () => {
  const lengths = PUBLISHED_BEST.map(([length]) => length);
  const scores = PUBLISHED_BEST.map(([, score]) => score);
  expect(provedScores(orienteeringDay(45), lengths)).toEqual(scores);
  const found = lengths.map(
    (length) => searchPlan(orienteeringDay(length), { iterations: 400, seed: 1 }).value,
  );
  found.forEach((value, at) => {
    expect(value).toBeCloseTo(scores[at], 9);
  });
});

test('an independent recomputation finds the same value for a full day, and no broken rule', () => {
  const problem = inventedDay({ count: 60, seed: 5, day: 27_000, windows: 0.3 });
  const plan = searchPlan(problem, { iterations: 60, seed: 3 });
  const again = recompute(problem, plan.stops);
  expect(plan.stops.length).toBeGreaterThan(10);
  expect(Math.abs(again.value - plan.value)).toBeLessThan(1e-6);
  expect(again.end).toBeLessThanOrEqual(problem.finish + 1e-3);
  plan.stops.forEach(({ spot, side }, at) => {
    const { begin, leave } = again.stops[at];
    expect(begin).toBeGreaterThanOrEqual(problem.open[spot]);
    expect(leave).toBeLessThanOrEqual(problem.close[spot] + 1e-3);
    expect(plan.stops.filter((other) => other.spot === spot).length).toBeLessThanOrEqual(problem.maxVisits);
    plan.stops.forEach((other, later) => {
      if (later <= at || other.spot !== spot || other.side !== side) return;
      expect(again.stops[later].begin - leave).toBeGreaterThanOrEqual(problem.rest.gap - 1e-3);
    });
  });
});

test('the same day and seed give the same plan, and another seed gives a feasible one', () => {
  const problem = inventedDay({ count: 30, seed: 9, day: 20_000 });
  const settings = { iterations: 40, seed: 4 };
  expect(searchPlan(problem, settings)).toEqual(searchPlan(problem, settings));
  const other = searchPlan(problem, { ...settings, seed: 5 });
  expect(planValue(problem, other.stops)).toBeCloseTo(other.value, 9);
});

test('no spots, no time or closed spots give an empty plan', () => {
  const none = inventedDay({ count: 0, seed: 1, day: 20_000 });
  expect(searchPlan(none, QUICK)).toEqual({ stops: [], value: 0 });
  const short = inventedDay({ count: 5, seed: 1, day: 600 });
  expect(searchPlan(short, QUICK).stops).toEqual([]);
  const closed = { ...inventedDay({ count: 5, seed: 1, day: 20_000 }), close: new Float64Array(5).fill(0) };
  expect(searchPlan(closed, QUICK).stops).toEqual([]);
});

test('spots that cannot be reached are left out', () => {
  const problem = inventedDay({ count: 6, seed: 2, day: 12_000 });
  const travel = problem.travel.slice();
  for (let node = 0; node < 8; node++) {
    travel[node * 8] = Infinity;
    travel[node] = Infinity;
  }
  const plan = searchPlan({ ...problem, travel }, QUICK);
  expect(plan.stops.length).toBeGreaterThan(2);
  expect(plan.stops.every(({ spot }) => spot !== 0)).toBe(true);
});

test('`Scorer` gives an order of stops the value of `Walk`, to 1e-9, and refuses the orders that `Walk` refuses', () => {
  const random = seededRandom(11);
  const draw = (count: number): number => Math.floor(random() * count);
  let kept = 0;
  for (let round = 0; round < 800; round++) {
    const count = 8;
    const plain = inventedDay({ count, seed: round, day: 16_000, windows: 0.2 });
    const { start } = plain;
    const values = Float64Array.from({ length: 4 * count }, () => 2 * random());
    const visits = Uint8Array.from({ length: count }, () => draw(2));
    const ofFished = (fished: () => number, otherwise: number): Float64Array =>
      Float64Array.from({ length: 2 * count }, (_, own) => (visits[own >> 1] > 0 ? fished() : otherwise));
    const problem: DayProblem = {
      ...plain,
      taken: {
        share: ofFished(() => random() / 2, 0),
        since: new Float64Array(count).fill(start - 600),
        left: ofFished(() => start - 600 * draw(9), -Infinity),
        visits,
      },
      factor: { start, width: 4000, bins: 4, values },
    };
    const scorer = new Scorer(problem);
    const stops: Stop[] = [];
    for (let at = 0; at < 6; at++) {
      const stop: Stop = { spot: draw(count), side: draw(2) as Side, stay: draw(3) };
      stops.push(stop);
    }
    const walked = planValue(problem, stops);
    const { value } = scorer.score(stops.map((stop) => scorer.pack(stop)));
    expect(value > -Infinity).toBe(walked !== undefined);
    if (walked === undefined) continue;
    kept++;
    expect(Math.abs(value - walked)).toBeLessThan(1e-9);
  }
  expect(kept).toBeGreaterThan(100);
});
