import type { LoggedStop } from './day-log.ts';
import { type RestModel, Stock } from './stock.ts';

/** Shape of the Gamma prior of the catch rate where fish bite. */
export const RATE_SHAPE = 3;
/** Minimum chance that fish bite at a spot, right after a stop there with fish. */
const PROVED = 0.95;
/** Share of what was learned that remains after each night; judgment. */
const KEPT_OVERNIGHT = 0.6;

export interface ExposedStop extends LoggedStop {
  /** Share of a long stay's catch at the rested spot: x (1 - e^(-d/theta)) for stock x and stay d. */
  readonly exposure: number;
}

/**
 * Adds exposures to logged stops. Only earlier stops of the day that gave fish reduce the stock, so that a
 * blank after a blank counts in full.
 *
 * @param count Number of spots. @param stops Sorted by date and time.
 */
export function withExposures(count: number, stops: readonly LoggedStop[], rest: RestModel): ExposedStop[] {
  let caught = freshStock(count, rest);
  return stops.map((stop, at) => {
    if (stop.date !== stops[at - 1]?.date) caught = freshStock(count, rest);
    const exposure = shareMet(caught, stop, rest);
    if (stop.fish > 0) take(caught, stop, exposure);
    return { ...stop, exposure };
  });
}

/** Returns the stock after the stops of a day, with or without fish. @param count Number of spots. */
export function takenOn(date: string, count: number, stops: readonly LoggedStop[], rest: RestModel): Stock {
  const stock = freshStock(count, rest);
  for (const stop of stops) if (stop.date === date) take(stock, stop, shareMet(stock, stop, rest));
  return stock;
}

const freshStock = (count: number, rest: RestModel): Stock => new Stock(count, rest, (x) => Math.exp(-x));

/** Returns the share of the rested stock that a stop takes. */
const shareMet = (stock: Stock, { spot, side, time, stay }: LoggedStop, { theta }: RestModel): number =>
  stock.at(2 * spot + side, time) * (1 - Math.exp(-stay / theta));

const take = (stock: Stock, { spot, side, time, stay }: LoggedStop, taken: number): void =>
  stock.take(2 * spot + side, time, time + stay, taken);

/** Returns the chance of no fish where `expected` fish are expected: Poisson with a Gamma rate of shape 3. */
export const noFish = (expected: number): number => (RATE_SHAPE / (RATE_SHAPE + expected)) ** RATE_SHAPE;

/** Updates a chance after a blank, by Bayes' rule. @param blank Chance of a blank where fish bite. */
export const afterBlank = (chance: number, blank: number): number =>
  (chance * blank) / (1 - chance + chance * blank);

/**
 * Learns from a spot's own stops the chance that fish bite and the mean catch of a long stay if fish bite.
 *
 * Where fish bite, the catch is Poisson with mean lambda * exposure, and the prior of lambda is a Gamma
 * distribution of shape 3 and mean `fish`. A blank lowers the chance by Bayes' rule. A catch raises the
 * chance to at least 0.95. Each night the chance moves 40 % of the way back to `prior`.
 *
 * @param prior Chance before the spot's own stops.
 * @param fish Mean catch of a long stay where fish bite, before the spot's own stops.
 * @param stops Stops at the spot, sorted by date and time. @param date Day of the plan, `YYYY-MM-DD`.
 */
export function learn(
  prior: number,
  fish: number,
  stops: readonly ExposedStop[],
  date: string,
): { readonly chance: number; readonly fish: number } {
  let chance = prior;
  let [shape, rate] = [RATE_SHAPE, RATE_SHAPE / fish];
  stops.forEach((stop, at) => {
    const blank = (rate / (rate + stop.exposure)) ** shape;
    if (stop.fish === 0) {
      // Blanks leave shape and rate unchanged: a lower expected catch would make the next blank count less.
      chance = afterBlank(chance, blank);
    } else {
      chance = Math.max(chance, PROVED);
      shape += stop.fish;
      rate += stop.exposure;
    }
    const nights = daysBetween(stop.date, stops[at + 1]?.date ?? date);
    if (nights > 0) chance = prior + KEPT_OVERNIGHT ** nights * (chance - prior);
  });
  return { chance, fish: shape / rate };
}

/** Returns the weight of a logged day for values that change daily: 0.6^(days ago - 1), at most 1. */
export const dayWeight = (logged: string, planned: string): number =>
  KEPT_OVERNIGHT ** Math.max(0, daysBetween(logged, planned) - 1);

/** Number of days in which the weight of a logged day halves (`seasonWeight`); judgment. */
const SEASON = 30;

/** Returns the weight of a logged day for values that change slowly: fish per stop and recovery. */
export const seasonWeight = (logged: string, planned: string): number =>
  0.5 ** (Math.max(0, daysBetween(logged, planned)) / SEASON);

const daysBetween = (from: string, to: string): number =>
  Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / 86_400_000);
