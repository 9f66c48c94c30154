import type { LoggedStop } from './day-log.ts';
import type { RestModel, TakenStock } from './problem.ts';

/** What logged stops teach. */
export interface Learned {
  /** By spot: the chance that it holds biting fish, 0 to 1, and the fish of a long stay at it, rested, if they bite. */
  readonly beliefs: readonly { readonly chance: number; readonly fish: number }[];
  /** Stock taken by the stops on the day of the plan. */
  readonly taken: TakenStock;
}

/** Shape of the Gamma distribution of how well fish bite, the prior of the catch rate. */
export const RATE_SHAPE = 3;
/** Chance assigned to a spot that gave fish. */
const PROVED = 0.95;
/** Share of what was learned that remains after each night. */
const KEPT_OVERNIGHT = 0.6;

/**
 * Exposure of each logged stop, s: x theta (1 - e^(-d/theta)), where x is the stock left by earlier stops of the day
 * that gave fish. A blank catches nothing, so it takes nothing from x. Otherwise the next blank would tell less, and
 * two blanks could tell less than one.
 *
 * @param count Number of spots. @param stops Sorted by date and time.
 */
export function exposuresOf(count: number, stops: readonly LoggedStop[], rest: RestModel): number[] {
  const caught = freshStock(count);
  const days = new Map<number, string>();
  return stops.map((stop) => {
    if (days.get(stop.spot) !== stop.date) clearStock(caught, stop.spot);
    days.set(stop.spot, stop.date);
    const exposure = shareLeft(caught, stop, rest) * shareOfStay(stop, rest) * rest.theta;
    if (stop.fish > 0) takeStop(caught, stop, rest);
    return exposure;
  });
}

/** Chance of no fish where fish bite and this many are expected: Poisson with a Gamma rate of shape 3. */
export const noFish = (expected: number): number => (RATE_SHAPE / (RATE_SHAPE + expected)) ** RATE_SHAPE;

/** Chance that a stop of this exposure, s, catches nothing where fish bite: q0 = (b / (b + E))^3, b = 3 theta / N. */
export const blankChance = (exposure: number, fish: number, rest: RestModel): number =>
  noFish((exposure * fish) / rest.theta);

/** Chance that fish bite where a stop caught nothing, by Bayes' rule. @param blank Chance of that if they bite. */
export const afterBlank = (chance: number, blank: number): number =>
  (chance * blank) / (1 - chance + chance * blank);

/**
 * Beliefs after the logged stops: catch given biting ~ Poisson(lambda E), lambda ~ Gamma(3, 3 theta / N). A blank makes
 * biting less likely by Bayes' rule; a fish sets the chance to 0.95.
 *
 * @param prior Chance by spot. @param fish N by spot before its own stops.
 * @param stops Sorted by date and time. @param exposures Exposures of the stops, s.
 * @param date Day of the plan, `YYYY-MM-DD`.
 */
export function learn(
  prior: readonly number[],
  fish: readonly number[],
  stops: readonly LoggedStop[],
  exposures: readonly number[],
  date: string,
  rest: RestModel,
): Learned {
  const stock = freshStock(prior.length);
  const beliefs = prior.map((start, spot) => {
    let chance = start;
    let shape = RATE_SHAPE;
    let rate = (RATE_SHAPE * rest.theta) / fish[spot];
    let day: string | undefined;
    stops.forEach((stop, at) => {
      if (stop.spot !== spot) return;
      if (day !== undefined && day !== stop.date) {
        chance = overnight(chance, start, nightsBetween(day, stop.date));
        clearStock(stock, spot);
      }
      day = stop.date;
      takeStop(stock, stop, rest);
      const blank = (rate / (rate + exposures[at])) ** shape;
      if (stop.fish === 0) {
        // The rate stays unchanged: it describes fish that bite, and learning it from blanks would make the next blank
        // tell less.
        chance = afterBlank(chance, blank);
        return;
      }
      chance = Math.max(chance, PROVED);
      shape += stop.fish;
      rate += exposures[at];
    });
    if (day !== undefined && day !== date) {
      chance = overnight(chance, start, nightsBetween(day, date));
      clearStock(stock, spot);
    }
    return { chance, fish: (rest.theta * shape) / rate };
  });
  return { beliefs, taken: stock };
}

/**
 * Weight of a logged day on the day of a plan for the behavior of fish: 1 for yesterday, times 0.6 for each further
 * night.
 */
export const dayWeight = (logged: string, planned: string): number =>
  KEPT_OVERNIGHT ** Math.max(0, daysBetween(logged, planned) - 1);

/** Nights in which a logged day's weight for the lake and tackle falls by half; common practice, no source. */
const SEASON = 30;

/** Weight of a logged day for what changes slowly: fish per stop, lures, rest, distances. */
export const seasonWeight = (logged: string, planned: string): number =>
  0.5 ** (Math.max(0, daysBetween(logged, planned)) / SEASON);

const overnight = (chance: number, prior: number, nights: number): number =>
  prior + KEPT_OVERNIGHT ** nights * (chance - prior);

const nightsBetween = (from: string, to: string): number => Math.max(1, daysBetween(from, to));

/** Days from one date to another, both `YYYY-MM-DD`. */
const daysBetween = (from: string, to: string): number =>
  Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / 86_400_000);

function freshStock(count: number): TakenStock {
  return {
    share: new Float64Array(2 * count),
    since: new Float64Array(count),
    left: new Float64Array(2 * count).fill(-Infinity),
    visits: new Uint8Array(count),
  };
}

function clearStock(stock: TakenStock, spot: number): void {
  for (const sideIndex of [2 * spot, 2 * spot + 1]) {
    stock.share[sideIndex] = 0;
    stock.left[sideIndex] = -Infinity;
  }
  stock.visits[spot] = 0;
}

/** Records a logged stop and what it took, with the stock updated to the end of the stop. */
function takeStop(stock: TakenStock, stop: LoggedStop, rest: RestModel): void {
  const { spot, side, time, stay } = stop;
  const sideIndex = 2 * spot + side;
  const taken = shareLeft(stock, stop, rest) * shareOfStay(stop, rest);
  const kept = keptUntil(stock, stop, rest);
  stock.share[sideIndex] *= kept;
  stock.share[sideIndex ^ 1] *= kept;
  stock.share[sideIndex] += taken;
  stock.since[spot] = time + stay;
  stock.left[sideIndex] = time + stay;
  stock.visits[spot]++;
}

/** Share of a side's stock available when a stop begins. */
function shareLeft(stock: TakenStock, stop: LoggedStop, rest: RestModel): number {
  const sideIndex = 2 * stop.spot + stop.side;
  const gone = stock.share[sideIndex] + rest.kappa * stock.share[sideIndex ^ 1];
  return Math.max(0, 1 - keptUntil(stock, stop, rest) * gone);
}

/** Share of what was taken that is still missing when a stop begins. */
const keptUntil = (stock: TakenStock, { spot, time }: LoggedStop, rest: RestModel): number =>
  stock.visits[spot] > 0 ? Math.exp(-Math.max(0, time - stock.since[spot]) / rest.rho) : 1;

/** Share of the available stock that a stay takes. */
const shareOfStay = ({ stay }: LoggedStop, rest: RestModel): number => 1 - Math.exp(-stay / rest.theta);
