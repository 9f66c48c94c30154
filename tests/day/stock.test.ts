import { describe, expect, test } from 'vitest';
import { bagRules } from '../../shared/day/bag.ts';
import type { LoggedStop } from '../../shared/day/day-log.ts';
import { learn, takenOn, withExposures } from '../../shared/day/learning.ts';
import { scoreOrder } from '../../shared/day/scorer.ts';
import { drawnWeight, learnedWeight } from '../../shared/day/sizes.ts';
import { REST_MODEL } from '../../shared/day/stock.ts';
import { seededRandom } from '../../shared/math/statistics.ts';
import { inventedDay } from './instances.ts';

const DAY = '2026-07-04';
const NOON = 12 * 3600;
const stopOf = (change: Partial<LoggedStop>): LoggedStop => ({
  date: DAY,
  time: NOON,
  spot: 0,
  side: 0,
  stay: 1200,
  fish: 2,
  weights: [],
  lure: '',
  wind: '',
  note: '',
  ...change,
});

const takenBy = (stops: readonly LoggedStop[], date = DAY) => takenOn(date, 2, stops, REST_MODEL);

describe('fish taken from a spot', () => {
  const { theta, rho, kappa } = REST_MODEL;
  const taken = 1 - Math.exp(-1200 / theta);

  test('are missing from the side that was fished, as calculated by hand, and nowhere else', () => {
    const { share, visits, since, left } = takenBy([stopOf({})]);
    expect(Array.from(share)).toEqual([expect.closeTo(taken, 12), 0, 0, 0]);
    expect(Array.from(visits)).toEqual([1, 0]);
    expect([since[0], left[0], left[1]]).toEqual([NOON + 1200, NOON + 1200, -Infinity]);
  });

  test("come back until the next stop, whose side feels part of the other side's loss", () => {
    const hour = 3600;
    const { share } = takenBy([stopOf({}), stopOf({ side: 1, time: NOON + 1200 + hour })]);
    const kept = Math.exp(-hour / rho);
    expect(share[0]).toBeCloseTo(kept * taken, 12);
    expect(share[1]).toBeCloseTo((1 - kappa * kept * taken) * taken, 12);
  });

  test("are back the next morning, with the previous day's visits and gap cleared", () => {
    const { share, visits, left } = takenBy(
      [stopOf({}), stopOf({ side: 1, time: NOON + 3600 })],
      '2026-07-05',
    );
    expect(Array.from(share)).toEqual([0, 0, 0, 0]);
    expect(Array.from(visits)).toEqual([0, 0]);
    expect(left[0]).toBe(-Infinity);
    // Of a spot fished on two days, only today's stop counts.
    const both = [stopOf({ date: '2026-07-03' }), stopOf({})];
    expect(Array.from(takenBy(both).share)).toEqual(Array.from(takenBy([stopOf({})]).share));
    expect(takenBy(both).visits[0]).toBe(1);
    const [before, today] = withExposures(2, both, REST_MODEL);
    expect(today.exposure).toBe(before.exposure);
  });
});

describe('an order of stops', () => {
  const problem = inventedDay({ count: 3, seed: 1, day: 6 * 3600, windows: 0 });
  const stops = [
    { spot: 0, side: 0, stay: 1 },
    { spot: 1, side: 0, stay: 1 },
    { spot: 0, side: 1, stay: 1 },
    { spot: 0, side: 0, stay: 1 },
  ] as const;

  test('meets the stock left by earlier stops, as calculated by hand', () => {
    const { rho, kappa, theta } = problem.rest;
    const {
      scorer: { begin, depart, stock },
    } = scoreOrder(problem, stops);
    const yields = 1 - Math.exp(-problem.stays[1] / theta);
    expect([stock[0], stock[1]]).toEqual([1, 1]);
    const first = Math.exp(-(begin[2] - depart[0]) / rho);
    expect(stock[2]).toBeCloseTo(1 - kappa * first * yields, 10);
    const second = Math.exp(-(begin[3] - depart[2]) / rho);
    const gone = second * (first * yields + kappa * stock[2] * yields);
    expect(stock[3]).toBeCloseTo(1 - gone, 10);
  });

  test('has the same score after another order was scored', () => {
    const { scorer, order } = scoreOrder(problem, stops);
    const before = [scorer.stock.slice(), scorer.depart.slice(), scorer.worth.slice(), order.value];
    const other = [order.stops[0], scorer.pack({ spot: 0, side: 1, stay: 0 })];
    expect(scorer.score(other).value).toBeGreaterThan(0);
    const { value } = scorer.score(order.stops);
    expect([scorer.stock, scorer.depart, scorer.worth, value]).toEqual(before);
  });
});

describe('beliefs', () => {
  test('a blank lowers the chance of its spot, as calculated by hand, and of no other', () => {
    const stops = withExposures(2, [stopOf({ fish: 0 })], REST_MODEL);
    const blank = (3 / 8 / (3 / 8 + 1 - Math.exp(-1200 / REST_MODEL.theta))) ** 3;
    expect(learn(0.5, 8, stops, DAY).chance).toBeCloseTo(blank / (1 + blank), 12);
    expect(learn(0.5, 8, [], DAY).chance).toBe(0.5);
  });
});

describe('the bag', () => {
  test("holds today's fish, each with its own weight or the usual one", () => {
    const logged = [
      stopOf({ date: '2026-07-03', fish: 3, weights: [3] }),
      stopOf({ fish: 3, weights: [2] }),
      stopOf({ fish: 1, weights: [1, 0.5] }),
    ];
    const options = { date: DAY, limit: 5, fishWeight: '1.2kg', keeper: '0.8kg' };
    const { limit, keeper, held } = bagRules({ logged } as never, options as never);
    expect([limit, keeper]).toEqual([5, 0.8]);
    expect(held).toEqual([2, 1.2, 1.2, 1, 0.5]);
  });

  test('the mean weight is learned from weights drawn around it', () => {
    const random = seededRandom(7);
    const normal = (): number => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    const weights = Array.from({ length: 4000 }, () => drawnWeight(1.4, normal()));
    expect(Math.abs(learnedWeight(0.9, weights) / 1.4 - 1)).toBeLessThan(0.02);
    expect(learnedWeight(0.9, [])).toBeCloseTo(0.9, 12);
  });
});
