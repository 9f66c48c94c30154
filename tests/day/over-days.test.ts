import { describe, expect, test } from 'vitest';
import { judgeStops, linesByKind } from '../../shared/day/against-expected.ts';
import { believe } from '../../shared/day/beliefs.ts';
import { dayLevel, spotDays } from '../../shared/day/day-level.ts';
import type { LoggedStop } from '../../shared/day/day-log.ts';
import { readLoggedStops } from '../../shared/day/day-log.ts';
import { fishPerStop } from '../../shared/day/fish-per-stop.ts';
import { withExposures } from '../../shared/day/learning.ts';
import { overDaysOf } from '../../shared/day/over-days.ts';
import { learnRest } from '../../shared/day/rest-learned.ts';
import { reviewDays } from '../../shared/day/review.ts';
import { spotsFromMarks } from '../../shared/day/spots.ts';
import { REST_MODEL } from '../../shared/day/stock.ts';
import { seededRandom } from '../../shared/math/statistics.ts';
import { csv, ringLake } from './lake.ts';

const DATE = '2026-07-05';
const { spots } = spotsFromMarks(ringLake(30, 8).input.waypoints, new Map(), 10, 1);
const OPTIONS = { confidence: 0.5, fish: 5, date: DATE };

const stopOf = (spot: number, fish: number, more: Partial<LoggedStop> = {}): LoggedStop => ({
  date: DATE,
  time: 8 * 3600,
  spot,
  side: 0,
  stay: 1800,
  fish,
  weights: [],
  lure: '',
  wind: '',
  note: '',
  ...more,
});

/** Draws a Poisson number. */
function caught(mean: number, random: () => number): number {
  const least = Math.exp(-mean);
  let count = 0;
  for (let product = random(); product > least; product *= random()) count++;
  return count;
}

/**
 * Draws the fish at a spot whose bite rate has a gamma distribution of shape 3 and the given mean, as in the
 * model.
 */
const biting = (mean: number, random: () => number): number =>
  caught((-Math.log((1 - random()) * (1 - random()) * (1 - random())) / 3) * mean, random);

describe('what all spots have in common', () => {
  test('the number of fish in a long stay is recovered from stops drawn from the model, and two stops change the default little', () => {
    const random = seededRandom(5);
    const share = 1 - Math.exp(-1800 / REST_MODEL.theta);
    const stops = Array.from({ length: 300 }, (_, at) =>
      stopOf(at, random() < 0.5 ? biting(9 * share, random) : 0),
    );
    const chances = stops.map(() => 0.5);
    const learned = (some: readonly LoggedStop[]) =>
      fishPerStop(5, chances, withExposures(300, some, REST_MODEL), DATE);
    expect(Math.abs(learned(stops).fish / 9 - 1)).toBeLessThan(0.12);
    expect(learned(stops.slice(0, 2)).fish).toBeLessThan(7);
    expect(learned([]).fish).toBe(5);
    expect(learned(stops).spread).toBeLessThan(learned([]).spread);
  });

  test('blanks everywhere lower the chance at spots never fished, fish everywhere raise it, and older days count less', () => {
    const chanceAfter = (fish: number, date = DATE): number => {
      const stops = Array.from({ length: 8 }, (_, spot) => stopOf(spot, fish, { date }));
      return believe(spots, stops, OPTIONS, REST_MODEL).chances[20];
    };
    expect(chanceAfter(0)).toBeLessThan(0.4);
    expect(chanceAfter(3)).toBeGreaterThan(0.6);
    expect(chanceAfter(0, '2026-06-25')).toBeGreaterThan(chanceAfter(0) + 0.05);
  });

  test('a confidence that ranked spots wrongly loses weight, and one that ranked them correctly gains weight', () => {
    const prior = Array.from({ length: 20 }, (_, spot) => (spot < 10 ? 0.2 : 0.8));
    const slopeOf = (isRight: boolean): number => {
      const stops = prior.map((chance, spot) => stopOf(spot, chance > 0.5 === isRight ? 2 : 0));
      return dayLevel(prior, spotDays(withExposures(20, stops, REST_MODEL), 5, DATE)).slope;
    };
    expect(slopeOf(false)).toBeLessThan(-0.5);
    expect(slopeOf(true)).toBeGreaterThan(0);
  });
});

describe('rest', () => {
  const pairs = (hoursAway: number, again: number, count: number): LoggedStop[] =>
    Array.from({ length: count }, (_, spot) => [
      stopOf(spot, 4, { time: 7 * 3600 }),
      stopOf(spot, again, { time: 7 * 3600 + 1800 + hoursAway * 3600 }),
    ]).flat();

  test('too few revisits leave the default but are counted', () => {
    const found = learnRest(pairs(1.5, 3, 4), DATE, REST_MODEL);
    expect(found).toMatchObject({ isLearned: false, recovery: REST_MODEL.rho });
    expect(found.lines[1]).toMatchObject({ revisits: 4, hits: 4 });
  });

  test('recovery is learned as faster from spots that soon give fish again, and as slower from spots that do not', () => {
    const soon = learnRest(pairs(0.75, 4, 12), DATE, REST_MODEL);
    const late = learnRest(pairs(2.5, 0, 12), DATE, REST_MODEL);
    expect(soon.isLearned && late.isLearned).toBe(true);
    expect(soon.recovery).toBeLessThan(REST_MODEL.rho / 1.3);
    expect(late.recovery).toBeGreaterThan(REST_MODEL.rho * 1.3);
  });
});

describe('lures, distances and kinds of stops', () => {
  test('a lure is favored only if it and another lure have enough stops and clearly different catches', () => {
    const favors = (stops: number, good: number, bad: number) =>
      overDaysOf(
        spots,
        Array.from({ length: 2 * stops }, (_, at) =>
          stopOf(at, at % 2 === 0 ? good : bad, {
            lure: at % 2 === 0 ? '16 FT diver' : '10 ft diver',
            distance: 41,
          }),
        ),
        OPTIONS,
        REST_MODEL,
      );
    expect(favors(7, 6, 1).bestLure).toMatchObject({ kind: '16 ft diver', fish: 42, stops: 7 });
    expect(favors(2, 6, 1).bestLure).toBeUndefined();
    expect(favors(7, 3, 3).bestLure).toBeUndefined();
    // 41 m is in the fifth bin of 10 yd. A single distance has nothing to be compared with.
    expect(favors(7, 6, 1).distances).toMatchObject([{ kind: 4, stops: 14 }]);
    expect(favors(7, 6, 1).bestDistance).toBeUndefined();
  });

  test('mean and variance of the expected fish match stops drawn from the model', () => {
    const random = seededRandom(11);
    const [chance, stay] = [0.6, 1800];
    const [judged] = judgeStops(
      withExposures(spots.length, [stopOf(0, 0, { stay })], REST_MODEL),
      spots,
      spots.map(() => chance),
      spots.map(() => 6),
    );
    const mean = judged.expected / chance;
    const draws = Array.from({ length: 40_000 }, () => (random() < chance ? biting(mean, random) : 0));
    const average = draws.reduce((sum, fish) => sum + fish, 0) / draws.length;
    const variance = draws.reduce((sum, fish) => sum + (fish - average) ** 2, 0) / draws.length;
    expect(Math.abs(average / judged.expected - 1)).toBeLessThan(0.03);
    expect(Math.abs(variance / judged.variance - 1)).toBeLessThan(0.05);
  });

  test('kinds with fewer than three stops say so; others have more fish than expected, fewer, or about as many', () => {
    const line = (fish: readonly number[]) => {
      const judged = judgeStops(
        fish.map((count, at) => ({ ...stopOf(at, count), exposure: 800 / 900 })),
        spots,
        spots.map(() => 0.5),
        spots.map(() => 5),
      );
      return linesByKind(judged, () => 'all')[0].verdict;
    };
    expect(line([9, 9])).toBe('too few stops');
    expect(line([9, 9, 9, 9])).toBe('more');
    expect(line([0, 0, 0, 0, 0, 0, 0, 0])).toBe('fewer');
    expect(line([2, 0, 4, 1])).toBe('as expected');
  });
});

describe('a review', () => {
  test('covers the last logged day and compares its spots with the day before', () => {
    const stops = [
      ...[0, 1, 2].map((spot) => stopOf(spot, 3, { date: '2026-07-03', lure: 'jig', wind: 'SW@10mph' })),
      stopOf(0, 2),
      stopOf(1, 0, { time: 9 * 3600 }),
      stopOf(3, 1, { time: 11 * 3600 }),
    ];
    const review = reviewDays(spots, stops, OPTIONS, REST_MODEL)!;
    expect(review.day).toMatchObject({ date: DATE, all: { stops: 3, hits: 2, fish: 3 } });
    expect(review.before).toMatchObject({ date: '2026-07-03', winds: ['SW@10mph'] });
    expect(review.changes.map(({ verdict }) => verdict)).toEqual(['held', 'went off']);
    expect(review.day.hours.map(({ kind, stops: count }) => [kind, count])).toEqual([
      [4, 2],
      [5, 1],
    ]);
    expect(reviewDays(spots, stops, OPTIONS, REST_MODEL, '2026-07-03')!.before).toBeUndefined();
    expect(reviewDays(spots, stops, OPTIONS, REST_MODEL, '2026-01-01')).toBeUndefined();
    expect(reviewDays(spots, [], OPTIONS, REST_MODEL)).toBeUndefined();
  });

  test('a stop that was logged twice counts once; distance and wind come from columns or the note', () => {
    const row = { date: '7/4/2026', time: '7:15', mark: 'm1', fish: '2', note: '45 yd, SW@10mph' };
    const log = csv(row, row, { ...row, time: '8:15', distance: '40m', note: '' });
    const { stops, diagnostics } = readLoggedStops(log, spots, DATE, new Map());
    expect(stops).toHaveLength(2);
    expect(diagnostics.map(({ code }) => code)).toEqual(['day-plan/log-twice']);
    expect(stops[0].distance).toBeCloseTo(45 * 0.9144, 9);
    expect(stops[0].wind).toBe('SW@10mph');
    expect(stops[1].distance).toBe(40);
    const bad = readLoggedStops(csv({ ...row, distance: 'far' }), spots, DATE, new Map());
    expect(bad.diagnostics[0].code).toBe('day-plan/log-value');
  });
});
