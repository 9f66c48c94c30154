import type { LoggedStop } from './day-log.ts';
import { type RestModel, Stock } from './stock.ts';

/** Shape of the Gamma prior of the catch rate where fish bite. */
export const RATE_SHAPE = 3;
/** Least chance that fish bite right after the spot gave fish. */
const PROVED = 0.95;
/** Share of what was learned that remains after each night. */
const KEPT_OVERNIGHT = 0.6;

export interface ExposedStop extends LoggedStop {
  /** Expected share of a long stay's catch at the rested spot: x (1 - e^(-d/theta)) for stock x, stay d. */
  readonly exposure: number;
}

/**
 * Adds exposures to logged stops. Only earlier stops of the day that gave fish reduce the stock. If blanks
 * reduced the stock as well, the next blank would tell less, and two blanks could tell less than one.
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

/** Returns what the stops of a day took; stops without fish count too. @param count Number of spots. */
export function takenOn(date: string, count: number, stops: readonly LoggedStop[], rest: RestModel): Stock {
  const stock = freshStock(count, rest);
  for (const stop of stops) if (stop.date === date) take(stock, stop, shareMet(stock, stop, rest));
  return stock;
}

const freshStock = (count: number, rest: RestModel): Stock => new Stock(count, rest, (x) => Math.exp(-x));

/** Share of the rested stock that a stop takes. */
const shareMet = (stock: Stock, { spot, side, time, stay }: LoggedStop, { theta }: RestModel): number =>
  stock.at(2 * spot + side, time) * (1 - Math.exp(-stay / theta));

const take = (stock: Stock, { spot, side, time, stay }: LoggedStop, taken: number): void =>
  stock.take(2 * spot + side, time, time + stay, taken);

/** Chance of no fish if fish bite and `expected` are expected: Poisson with a Gamma rate of shape 3. */
export const noFish = (expected: number): number => (RATE_SHAPE / (RATE_SHAPE + expected)) ** RATE_SHAPE;

/** Updates a chance after a blank, by Bayes' rule. @param blank Chance of a blank where fish bite. */
export const afterBlank = (chance: number, blank: number): number =>
  (chance * blank) / (1 - chance + chance * blank);

/**
 * Learns from a spot's own stops the chance that fish bite and the fish of a long stay at the rested spot.
 *
 * Where fish bite, the catch is Poisson(lambda E), with lambda ~ Gamma(3, 3 / N) and exposure E. A blank
 * lowers the chance by Bayes' rule; a fish raises the chance to 0.95 or more. Each night the chance moves
 * back to `prior`.
 *
 * @param prior Chance before the spot's own stops.
 * @param fish Fish of a long stay where fish bite, before the spot's own stops (N).
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
      // The rate stays unchanged, because learning the rate from blanks would make the next blank tell less.
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

/** Weight of a logged day for what changes daily: 1 today and yesterday, times 0.6 per night before. */
export const dayWeight = (logged: string, planned: string): number =>
  KEPT_OVERNIGHT ** Math.max(0, daysBetween(logged, planned) - 1);

/** Half-life of a logged day's weight for what changes slowly, days; common practice, no source. */
const SEASON = 30;

/** Weight of a logged day for what changes slowly: fish per stop and recovery. */
export const seasonWeight = (logged: string, planned: string): number =>
  0.5 ** (Math.max(0, daysBetween(logged, planned)) / SEASON);

/** Days from one date to another, both `YYYY-MM-DD`. */
const daysBetween = (from: string, to: string): number =>
  Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / 86_400_000);
