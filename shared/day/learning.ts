import type { LoggedStop } from './day-log.ts';
import { type RestModel, Stock } from './stock.ts';

/** Shape of the Gamma distribution of how well fish bite, the prior of the catch rate. */
export const RATE_SHAPE = 3;
/** Least chance of a spot right after it gave fish. */
const PROVED = 0.95;
/** Share of what was learned that remains after each night. */
const KEPT_OVERNIGHT = 0.6;

/** A logged stop and the share of a long stay's catch to expect: stock x met and stay d give x (1 - e^(-d/theta)). */
export interface ExposedStop extends LoggedStop {
  readonly exposure: number;
}

/**
 * Logged stops with their exposures, where x is the stock left by earlier stops of the day that gave fish. A blank
 * catches nothing, so it takes nothing from x. Otherwise the next blank would tell less, and two blanks could tell less
 * than one.
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

/** Stock taken by the stops on a day, whether they gave fish or not. @param count Number of spots. */
export function takenOn(date: string, count: number, stops: readonly LoggedStop[], rest: RestModel): Stock {
  const stock = freshStock(count, rest);
  for (const stop of stops) if (stop.date === date) take(stock, stop, shareMet(stock, stop, rest));
  return stock;
}

const freshStock = (count: number, rest: RestModel): Stock => new Stock(count, rest, (x) => Math.exp(-x));

/** Share of the school that a stop meets and takes. */
const shareMet = (stock: Stock, { spot, side, time, stay }: LoggedStop, { theta }: RestModel): number =>
  stock.at(2 * spot + side, time) * (1 - Math.exp(-stay / theta));

const take = (stock: Stock, { spot, side, time, stay }: LoggedStop, taken: number): void =>
  stock.take(2 * spot + side, time, time + stay, taken);

/** Chance of no fish where fish bite and this many are expected: Poisson with a Gamma rate of shape 3. */
export const noFish = (expected: number): number => (RATE_SHAPE / (RATE_SHAPE + expected)) ** RATE_SHAPE;

/** Chance that fish bite after a blank, by Bayes' rule. @param blank Chance of a blank where fish bite. */
export const afterBlank = (chance: number, blank: number): number =>
  (chance * blank) / (1 - chance + chance * blank);

/**
 * The chance that a spot holds biting fish, 0 to 1, and the fish of a long stay at the rested spot if they bite.
 *
 * Catch given biting ~ Poisson(lambda E), lambda ~ Gamma(3, 3 / N). A blank makes biting less likely by Bayes' rule; a
 * fish raises the chance to 0.95 or more. Each night the chance moves back toward `prior`.
 *
 * @param prior Chance before the spot's own stops. @param fish Fish of a long stay (N) before those stops.
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
      // The rate stays unchanged: it describes fish that bite, and learning it from blanks would make the next blank
      // tell less.
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

/**
 * Weight of a logged day on the day of a plan for the behavior of fish: 1 for yesterday, times 0.6 for each further
 * night.
 */
export const dayWeight = (logged: string, planned: string): number =>
  KEPT_OVERNIGHT ** Math.max(0, daysBetween(logged, planned) - 1);

/** Nights in which a logged day's weight for what changes slowly falls by half; common practice, no source. */
const SEASON = 30;

/** Weight of a logged day for what changes slowly: fish per stop, lures, rest, distances. */
export const seasonWeight = (logged: string, planned: string): number =>
  0.5 ** (Math.max(0, daysBetween(logged, planned)) / SEASON);

/** Days from one date to another, both `YYYY-MM-DD`. */
const daysBetween = (from: string, to: string): number =>
  Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / 86_400_000);
