import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { DayProblem } from '../../shared/day/problem.ts';
import { searchPlan } from '../../shared/day/search.ts';
import { inventedDay } from './instances.ts';
import { planValue } from './walk.ts';

const QUICK = { iterations: 60, seed: 1 };
const BONUS = 1e4;

/** Returns the day with a bonus for each spot that must be fished. */
function withMusts(problem: DayProblem, musts: readonly number[]): DayProblem {
  const bonus = new Float64Array(problem.count);
  for (const spot of musts) bonus[spot] = BONUS;
  return { ...problem, bonus };
}

describe('required stops', () => {
  test('must, first and last are kept on any day, and the plan keeps more than half of its value', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 200 }), fc.nat({ max: 17 }), (seed, pick) => {
        const day = inventedDay({ count: 18, seed, day: 18_000, stays: [1200, 1800], windows: 0 });
        const [first, last, must] = [pick, (pick + 5) % 18, (pick + 11) % 18];
        const { stops, value } = searchPlan({ ...withMusts(day, [first, last, must]), first, last }, QUICK);
        expect(stops[0].spot).toBe(first);
        expect(stops.at(-1)!.spot).toBe(last);
        expect(stops.some(({ spot }) => spot === must)).toBe(true);
        const plain = searchPlan(day, QUICK).value;
        expect(value - 3 * BONUS).toBeGreaterThan(0.5 * plain);
        expect(value - 3 * BONUS).toBeLessThanOrEqual(plain * 1.01);
        expect(planValue(day, stops)).toBeCloseTo(value - 3 * BONUS, 6);
      }),
      { numRuns: 25 },
    );
  });

  test('runs stay within the fuel, and half the fuel needed still gives a plan', () => {
    for (let seed = 1; seed <= 8; seed++) {
      const day = inventedDay({ count: 20, seed, day: 20_000, stays: [1200, 1800], windows: 0 });
      const running = day.travel.map((seconds) => Math.max(0, seconds - 120));
      const free = searchPlan(day, QUICK);
      const need = runningOf(
        free.stops.map(({ spot }) => spot),
        running,
        day.count,
      );
      const found = searchPlan({ ...day, fuel: { running, most: need / 2 } }, QUICK);
      expect(found.stops.length).toBeGreaterThan(0);
      expect(
        runningOf(
          found.stops.map(({ spot }) => spot),
          running,
          day.count,
        ),
      ).toBeLessThanOrEqual(need / 2);
      expect(found.value).toBeGreaterThan(0.3 * free.value);
    }
  });
});

function runningOf(spots: readonly number[], running: Float64Array, count: number): number {
  const nodes = [count, ...spots, count + 1];
  return nodes.slice(1).reduce((sum, node, at) => sum + running[nodes[at] * (count + 2) + node], 0);
}
