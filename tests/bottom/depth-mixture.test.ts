import { describe, expect, test } from 'vitest';
import { random } from '../../fixtures/lakes/random.ts';
import { mixtureOf, momentsOf, summarize, withMarkDepth } from '../../shared/bottom/depth-mixture.ts';
import { fitUnseen, type LeftOutError, missedFormChance } from '../../shared/bottom/unseen.ts';
import { normalBelow } from '../../shared/math/statistics.ts';
import { near } from './near.ts';

/** A lake with hidden forms of 2 m; 10 m from a pass, 26 % of the places have one. */
const HIDDEN = { factor: 0.8, size: 2, rate: 0.3 };

describe('what a lake hides between its passes', () => {
  test('is recovered from errors drawn from its distribution', () => {
    const source = random(5);
    const places = Array.from({ length: 1200 }, (_, i): LeftOutError => {
      const distance = source.range(3, 25);
      const sd = source.range(0.1, 0.4);
      const isMissed = source.next() < missedFormChance(HIDDEN, distance);
      const spread = Math.hypot(HIDDEN.factor * sd, 0.1, isMissed ? HIDDEN.size : 0);
      return { error: spread * source.normal(), sd, distance, own: 0.01, isMarkLike: i % 2 === 0 };
    });
    const found = fitUnseen(places);
    near(found.size, HIDDEN.size, 0.3);
    near(found.rate, HIDDEN.rate, 0.09);
    near(found.factor, HIDDEN.factor, 0.15);
  });

  test('takes the default where no pass could be left out', () => {
    expect(fitUnseen([])).toEqual({ factor: 0.9, size: 0.5, rate: 0.03 });
  });

  test('grows with the distance to the nearest pass, up to 25 m', () => {
    const chances = [0, 5, 10, 20, 25, 40].map((distance) => missedFormChance(HIDDEN, distance));
    expect(chances[0]).toBe(0);
    expect(chances[5]).toBe(chances[4]);
    for (let k = 1; k < 5; k++) expect(chances[k]).toBeGreaterThan(chances[k - 1]);
  });
});

describe('a depth as a mixture', () => {
  test('shares of the normal distribution match published values', () => {
    // Abramowitz & Stegun, table 26.1.
    near(normalBelow(1), 0.8413447, 1e-6);
    near(normalBelow(1.96), 0.9750021, 1e-6);
    near(normalBelow(-2), 0.0227501, 1e-6);
  });

  test('intervals hold 95 of 100 draws, and 1.96 standard deviations reach at least as far', () => {
    const { interval, depthSd } = summarize(
      mixtureOf(5, 0.2, { hidden: { unseen: HIDDEN, distance: 15, gradient: 0.1 } }),
    );
    const source = random(9);
    const q = missedFormChance(HIDDEN, 15);
    let inside = 0;
    for (let k = 0; k < 20_000; k++) {
      // 0.075 m is a position error of 0.75 m on a slope of 0.1.
      const spread = Math.hypot(HIDDEN.factor * 0.2, 0.075, 0.03, source.next() < q ? HIDDEN.size : 0);
      const depth = 5 + spread * source.normal();
      if (depth >= interval[0] && depth <= interval[1]) inside++;
    }
    near(inside / 20_000, 0.95, 0.006);
    expect(1.96 * depthSd).toBeGreaterThanOrEqual(interval[1] - 5 - 1e-3);
  });

  test('is less certain on steeper ground, for the same standard deviation of the model', () => {
    const unseen = { factor: 1, size: 0.5, rate: 0.03 };
    const sds = [0, 0.05, 0.1, 0.4].map(
      (gradient) => momentsOf(mixtureOf(5, 0.2, { hidden: { unseen, distance: 0, gradient } })).sd,
    );
    for (let k = 1; k < sds.length; k++) expect(sds[k]).toBeGreaterThan(sds[k - 1]);
    near(sds[2], Math.hypot(0.2, 0.075, 0.03), 0.01);
  });
});

describe('the depth in a mark', () => {
  const mark = { sd: 0.15, isUnitKnown: true };

  test('that agrees narrows the depth to about the product of both distributions', () => {
    const mixture = withMarkDepth(mixtureOf(5, 0.4), { ...mark, depth: 5.3 }, 0.2);
    const { depth, depthSd } = summarize(mixture);
    // Weights 1 / 0.16 and 1 / 0.04.
    near(depth, 5 + 0.3 * 0.8, 0.02);
    near(depthSd, Math.sqrt(0.032), 0.03);
  });

  test('that is in feet but read as meters hardly changes the result', () => {
    const mixture = withMarkDepth(mixtureOf(5, 0.2), { ...mark, depth: 5 / 0.3048 }, 0.2);
    near(summarize(mixture).depth, 5, 0.1);
  });

  test('that contradicts the passes widens the interval, and is believed where the lake has such channels between passes', () => {
    const passes = mixtureOf(3.53, 0.1, {
      hidden: { unseen: { factor: 1, size: 2, rate: 0.2 }, distance: 15, gradient: 0.05 },
    });
    const mixture = withMarkDepth(passes, { ...mark, depth: 6.08 }, 0.2);
    const { depth, depthSd, interval } = summarize(mixture);
    expect(depth).toBeGreaterThan(5);
    expect(depthSd).toBeGreaterThan(0.3);
    expect(interval[1]).toBeGreaterThan(6.08);
  });
});
