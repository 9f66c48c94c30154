import { randomIndex, seededRandom } from '../math/index.ts';
import { shiftChance } from './pattern.ts';
import { drawnWeight } from './sizes.ts';

/** What one planned stop may give. */
export interface StopPromise {
  /** Chance that fish bite there, and fish caught on average if they do. */
  readonly chance: number;
  readonly fish: number;
  /** kg, mean, and how unsure it is: standard deviation of its logarithm. */
  readonly weight: number;
  readonly weightSpread: number;
  /** s of the day. */
  readonly from: number;
  readonly to: number;
  /** s of fishing without a fish after which it is given up. */
  readonly giveUp: number;
  /** Visits of one spot bite together or not at all. */
  readonly spot: number;
}

/** How unsure what all spots have in common is: standard deviations, each drawn once a day. */
export interface Doubt {
  /** Of the log-odds that fish bite at a spot. */
  readonly level: number;
  /** Of the logarithm of the fish that a stop gives, and of their mean weight. */
  readonly fish: number;
  readonly weight: number;
}

/** What a day may bring: tenth, middle and ninetieth of a hundred such days. */
export interface Outlook {
  readonly fish: Spread;
  /** kg of the best fish that count; absent when all fish count. */
  readonly bag?: Spread;
  /** Chance of a limit by the check-in, and s of the day at which it is full on the days on which it is. */
  readonly limitChance?: number;
  readonly limitBy?: Spread;
}

export type Spread = readonly [low: number, middle: number, high: number];

export interface BagRules {
  /** Fish that count, the heaviest; 0 when all do. */
  readonly limit: number;
  /** kg: the least that counts. */
  readonly keeper: number;
  /** kg of the fish that were caught today. */
  readonly held: readonly number[];
}

/** Days drawn. */
const DAYS = 400;
/** Shape of the Gamma law of how well fish bite, as in learning. */
const SHAPE = 3;

interface Catch {
  readonly time: number;
  readonly weight: number;
}

/** A drawn day as the next fish meets it. */
export interface BagLine {
  /** kg: the lightest fish of the full bag at its end; 0 where it is not full. */
  readonly lightest: number;
  /** What all spots have in common on it: added to the log-odds that fish bite, factors on their number and weight. */
  readonly level: number;
  readonly more: number;
  readonly heavier: number;
}

/** The drawn days of an order by what one more fish would have to beat. */
export function bagLines(stops: readonly StopPromise[], rules: BagRules, doubt: Doubt): BagLine[] {
  return drawDays(stops, doubt).map(({ caught, ...common }) => {
    const kept = weightsKept(caught, rules);
    return { ...common, lightest: kept.length < rules.limit ? 0 : kept[rules.limit - 1] };
  });
}

/** Spread of a day over drawn days; seeded, so that the same plan says the same. */
export function outlookOf(stops: readonly StopPromise[], rules: BagRules, doubt: Doubt): Outlook {
  const days = drawDays(stops, doubt).map(({ caught }) => caught);
  const fish = spreadOf(days.map((caught) => caught.length + rules.held.length));
  if (rules.limit === 0) return { fish };
  const bags = days.map((caught) =>
    weightsKept(caught, rules)
      .slice(0, rules.limit)
      .reduce((sum, weight) => sum + weight, 0),
  );
  const held = rules.held.filter((weight) => weight >= rules.keeper).length;
  const times = days.flatMap((caught) => {
    const keepers = caught
      .filter(({ weight }) => weight >= rules.keeper)
      .map(({ time }) => time)
      .sort((a, b) => a - b);
    const missing = rules.limit - held;
    if (missing <= 0) return [Number.NEGATIVE_INFINITY];
    return keepers.length < missing ? [] : [keepers[missing - 1]];
  });
  return {
    fish,
    bag: spreadOf(bags),
    limitChance: times.length / days.length,
    ...(times.length === 0 ? {} : { limitBy: spreadOf(times) }),
  };
}

function weightsKept(caught: readonly Catch[], { keeper, held }: BagRules): number[] {
  return [...held, ...caught.map(({ weight }) => weight)]
    .filter((weight) => weight >= keeper)
    .sort((a, b) => b - a);
}

interface DrawnDay extends Omit<BagLine, 'lightest'> {
  readonly caught: readonly Catch[];
}

/**
 * Draws days as they are fished: a stop that gives nothing is given up, and the time saved goes to further spots, about as
 * good as those of the order, as the plan that is made again then finds them.
 */
function drawDays(stops: readonly StopPromise[], doubt: Doubt): DrawnDay[] {
  const random = seededRandom(20_011);
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const spots = 1 + stops.reduce((most, { spot }) => Math.max(most, spot), -1);
  const [strengths, sizes] = [new Float64Array(spots), new Float64Array(spots)];
  const each = stops.length === 0 ? 0 : (stops[stops.length - 1].to - stops[0].from) / stops.length;
  return Array.from({ length: DAYS }, () => {
    const level = doubt.level * normal();
    const [more, heavier] = [Math.exp(doubt.fish * normal()), Math.exp(doubt.weight * normal())];
    const caught: Catch[] = [];
    const strengthAt = (chance: number): number =>
      random() < shiftChance(chance, level) ? more * gammaDraw(random) : 0;
    const sizeAt = (spread: number): number => heavier * Math.exp(spread * normal() - spread ** 2 / 2);
    /** @returns s saved. */
    const fish = (stop: StopPromise, strength: number, size: number): number => {
      const count = poissonDraw(strength * stop.fish, random);
      for (let one = 0; one < count; one++) {
        const time = stop.from + (stop.to - stop.from) * random();
        caught.push({ time, weight: drawnWeight(stop.weight * size, normal()) });
      }
      return count === 0 ? Math.max(0, stop.to - stop.from - stop.giveUp) : 0;
    };
    sizes.fill(0);
    let saved = 0;
    for (const stop of stops) {
      const { spot } = stop;
      if (sizes[spot] === 0) {
        strengths[spot] = strengthAt(stop.chance);
        sizes[spot] = sizeAt(stop.weightSpread);
      }
      saved += fish(stop, strengths[spot], sizes[spot]);
    }
    while (each > 0 && saved >= each) {
      const stop = stops[randomIndex(random, stops.length)];
      saved += fish(stop, strengthAt(stop.chance), sizeAt(stop.weightSpread)) - each;
    }
    return { caught, level, more, heavier };
  });
}

/** Gamma of shape 3 and mean 1. */
const gammaDraw = (random: () => number): number =>
  -Math.log((1 - random()) * (1 - random()) * (1 - random())) / SHAPE;

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
