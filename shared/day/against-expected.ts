import { ascending, group, sum } from 'd3-array';
import { type ExposedStop, RATE_SHAPE } from './learning.ts';
import type { FishingSpot } from './spots.ts';

/** A logged stop with its spot, the expected number of fish and the variance of that number. */
export type JudgedStop = ReturnType<typeof judgeStops>[number];

/** Results of the stops of one kind compared with what was expected. */
export interface KindLine<K extends string | number = string | number> {
  readonly kind: K;
  readonly stops: number;
  /** Number of stops with fish. */
  readonly hits: number;
  /** Total length of the stops, s. */
  readonly seconds: number;
  readonly fish: number;
  readonly expected: number;
  /** Fish caught over fish expected, shrunk toward 1, most where little was expected. */
  readonly ratio: number;
  readonly verdict: ExpectedVerdict;
}

/** `more` or `fewer`: the number of fish is outside the range expected on four days of five. */
export type ExpectedVerdict = 'more' | 'fewer' | 'as expected' | 'too few stops';

/** Minimum number of stops for a verdict; judgment. */
const ENOUGH = 3;
/** Number added to both fish caught and fish expected, which shrinks `ratio` toward 1. */
const DRAWN = 3;
/** Half-width of the middle 80 % of a normal distribution, in standard deviations. */
const OUTSIDE = 1.2816;

/**
 * Computes the mean and variance of the number of fish at each stop. Where fish bite, the number is Poisson
 * with a Gamma rate; elsewhere it is 0.
 *
 * @param chances Chance that fish bite, by spot. @param fish Mean catch of a long stay if fish bite, by spot.
 */
export function judgeStops(
  stops: readonly ExposedStop[],
  spots: readonly FishingSpot[],
  chances: readonly number[],
  fish: readonly number[],
) {
  return stops.map((stop) => {
    const spot = spots[stop.spot];
    const share = spot.sides.find(({ side }) => side === stop.side)?.share ?? 1;
    const mean = fish[stop.spot] * spot.quality * share * stop.exposure;
    const chance = chances[stop.spot];
    const second = mean + mean ** 2 * (1 + 1 / RATE_SHAPE);
    return { stop, spot, expected: chance * mean, variance: chance * second - (chance * mean) ** 2 };
  });
}

/** Sums up the stops of each kind, sorted by kind. Stops of an undefined kind are left out. */
export const linesByKind = <K extends string | number>(
  stops: readonly JudgedStop[],
  kindOf: (stop: JudgedStop) => K | undefined,
): KindLine<K>[] =>
  [...group(stops, kindOf)]
    .flatMap(([kind, judged]) => (kind === undefined ? [] : [stopsLine(kind, judged)]))
    .sort((a, b) => ascending(a.kind, b.kind));

export function stopsLine<K extends string | number>(kind: K, stops: readonly JudgedStop[]): KindLine<K> {
  const fish = sum(stops, ({ stop }) => stop.fish);
  const expected = sum(stops, (judged) => judged.expected);
  const usual = OUTSIDE * Math.sqrt(sum(stops, ({ variance }) => variance));
  const judged = fish - expected > usual ? 'more' : expected - fish > usual ? 'fewer' : 'as expected';
  return {
    kind,
    stops: stops.length,
    hits: stops.filter(({ stop }) => stop.fish > 0).length,
    seconds: sum(stops, ({ stop }) => stop.stay),
    fish,
    expected,
    ratio: (fish + DRAWN) / (expected + DRAWN),
    verdict: stops.length < ENOUGH ? 'too few stops' : judged,
  };
}
