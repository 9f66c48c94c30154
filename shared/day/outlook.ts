import { sum } from 'd3-array';
import { randomIndex, seededRandom } from '../math/index.ts';
import { RATE_SHAPE } from './learning.ts';
import { shiftChance } from './pattern.ts';
import { drawnWeight } from './sizes.ts';

/** Expected results of one planned stop. */
export interface StopPromise {
  /** Chance that fish bite at the spot, 0 to 1. */
  readonly chance: number;
  /** Mean number of fish caught if fish bite. */
  readonly fish: number;
  /** Mean weight of a fish, kg. */
  readonly weight: number;
  /** Standard deviation of the logarithm of the mean weight. */
  readonly weightSpread: number;
  /** First cast, s of the day. */
  readonly from: number;
  /** Departure, s of the day. */
  readonly to: number;
  /** Time without a bite after which the stop is given up, s of fishing. */
  readonly giveUp: number;
  /** Index of the spot. On a drawn day, fish bite on all planned visits to a spot or on none. */
  readonly spot: number;
}

/** Uncertainty shared by all spots, drawn once for each drawn day. */
export interface Uncertainty {
  /** Standard deviation of the shift in log-odds that fish bite. */
  readonly level: number;
  /** Standard deviation of ln(factor on numbers of fish). */
  readonly fish: number;
  /** Standard deviation of ln(factor on weights of fish). */
  readonly weight: number;
}

export interface Outlook {
  /** Number of fish over the whole day, including the fish caught so far. */
  readonly fish: Spread;
  /** Total weight of the bag, kg; absent when all fish count. */
  readonly bag?: Spread;
  /** Chance that the bag is full by the end of the plan; absent when all fish count. */
  readonly limitChance?: number;
  /**
   * Time at which the bag becomes full, s of the day, over the drawn days with a full bag; -Infinity if it is
   * full already. Absent when all fish count or no drawn day has a full bag.
   */
  readonly limitBy?: Spread;
}

/** 10th, 50th and 90th percentiles. */
export type Spread = readonly [low: number, middle: number, high: number];

export interface BagRules {
  /** Number of heaviest fish that count; 0 when all count. */
  readonly limit: number;
  /** Minimum weight of a fish that counts, kg. */
  readonly keeper: number;
  /** Weights of the fish caught so far today, kg. */
  readonly held: readonly number[];
}

const DAYS = 400;

interface Catch {
  readonly time: number;
  readonly weight: number;
}

export type BagLine = ReturnType<typeof bagLines>[number];

/** Draws days of an order as `drawDays` does, with the weight `lightest` in place of the catch. */
export function bagLines(stops: readonly StopPromise[], rules: BagRules, uncertainty: Uncertainty) {
  return drawDays(stops, uncertainty).map(({ caught, ...common }) => {
    const kept = weightsKept(caught, rules);
    /** Lightest fish of the full bag at the end of the day, kg; 0 when the bag is not full. */
    return { ...common, lightest: kept.length < rules.limit ? 0 : kept[rules.limit - 1] };
  });
}

/** Computes the results over drawn days. The draws are seeded: the same plan gives the same results. */
export function outlookOf(stops: readonly StopPromise[], rules: BagRules, uncertainty: Uncertainty): Outlook {
  const { limit, keeper, held } = rules;
  const days = drawDays(stops, uncertainty).map(({ caught }) => caught);
  const fish = spreadOf(days.map((caught) => caught.length + held.length));
  if (limit === 0) return { fish };
  const missing = limit - held.filter((weight) => weight >= keeper).length;
  const times = days.flatMap((caught) => {
    if (missing <= 0) return [Number.NEGATIVE_INFINITY];
    const keepers = caught.filter(({ weight }) => weight >= keeper).map(({ time }) => time);
    return keepers.toSorted((a, b) => a - b).slice(missing - 1, missing);
  });
  return {
    fish,
    bag: spreadOf(days.map((caught) => sum(weightsKept(caught, rules).slice(0, limit)))),
    limitChance: times.length / days.length,
    limitBy: times.length === 0 ? undefined : spreadOf(times),
  };
}

const weightsKept = (caught: readonly Catch[], { keeper, held }: BagRules): number[] =>
  [...held, ...caught.map(({ weight }) => weight)].filter((weight) => weight >= keeper).sort((a, b) => b - a);

/**
 * Draws days as they would be fished. A stop without fish is given up early. The time saved goes to extra
 * stops, each as good as a random stop of the order, as if the rest of the day were planned again.
 *
 * @returns For each day: `caught`, the catch; `level`, added to the log-odds of every spot; `more` and
 * `heavier`, factors on number and weight of all fish.
 */
function drawDays(stops: readonly StopPromise[], uncertainty: Uncertainty) {
  const random = seededRandom(20_011);
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const each = stops.length === 0 ? 0 : (stops[stops.length - 1].to - stops[0].from) / stops.length;
  return Array.from({ length: DAYS }, () => {
    const level = uncertainty.level * normal();
    const [more, heavier] = [Math.exp(uncertainty.fish * normal()), Math.exp(uncertainty.weight * normal())];
    const caught: Catch[] = [];
    const strengthAt = (chance: number): number =>
      random() < shiftChance(chance, level) ? more * gammaDraw(random) : 0;
    const sizeAt = (spread: number): number => heavier * Math.exp(spread * normal() - spread ** 2 / 2);
    /** Fishes one stop. @returns Time saved, s. */
    const fish = (stop: StopPromise, strength: number, size: number): number => {
      const count = poissonDraw(strength * stop.fish, random);
      for (let one = 0; one < count; one++) {
        const time = stop.from + (stop.to - stop.from) * random();
        caught.push({ time, weight: drawnWeight(stop.weight * size, normal()) });
      }
      return count === 0 ? Math.max(0, stop.to - stop.from - stop.giveUp) : 0;
    };
    const met = new Map<number, readonly [strength: number, size: number]>();
    let saved = 0;
    for (const stop of stops) {
      const known = met.get(stop.spot) ?? [strengthAt(stop.chance), sizeAt(stop.weightSpread)];
      met.set(stop.spot, known);
      saved += fish(stop, ...known);
    }
    while (each > 0 && saved >= each) {
      const stop = stops[randomIndex(random, stops.length)];
      saved += fish(stop, strengthAt(stop.chance), sizeAt(stop.weightSpread)) - each;
    }
    return { caught, level, more, heavier };
  });
}

/** Draws from the Gamma distribution of shape 3 and mean 1. */
const gammaDraw = (random: () => number): number =>
  -Math.log((1 - random()) * (1 - random()) * (1 - random())) / RATE_SHAPE;

function poissonDraw(mean: number, random: () => number): number {
  const least = Math.exp(-mean);
  let count = 0;
  for (let product = random(); product > least; product *= random()) count++;
  return count;
}

function spreadOf(values: readonly number[]): Spread {
  const sorted = values.toSorted((a, b) => a - b);
  const at = (share: number): number =>
    sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return [at(0.1), at(0.5), at(0.9)];
}
