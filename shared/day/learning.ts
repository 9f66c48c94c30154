import type { LoggedStop } from './day-log.ts';
import type { RestModel, TakenStock } from './problem.ts';

/** What is believed of a spot before and after its logged stops. */
export interface SpotBelief {
  /** Chance that the spot holds biting fish, 0 to 1. */
  readonly chance: number;
  /** Fish expected from a long stay at the rested spot if they bite. */
  readonly fish: number;
}

export interface Learned {
  readonly beliefs: readonly SpotBelief[];
  /** What the stops of the plan's day have taken. */
  readonly taken: TakenStock;
}

/** Shape of the Gamma prior of the catch rate. */
const SHAPE = 3;
/** Chance of a spot that gave fish. */
const PROVED = 0.95;
/** Part of what was learned that is left after each night. */
const KEPT_OVERNIGHT = 0.6;

/**
 * Beliefs after the logged stops: catch given biting ~ Poisson(lambda E) with E = x theta (1 - e^(-d/theta)),
 * lambda ~ Gamma(3, 3 theta / N). A blank makes biting less likely by Bayes' rule, a fish makes it 0.95. Here x falls by
 * stops that gave fish only: a blank has caught none, and if it took from x, the next blank would say less for it, and two
 * could say less than one.
 *
 * @param prior Chance by spot. @param fish N by spot before anything was logged.
 * @param stops Sorted by date and time. @param date Day of the plan, `YYYY-MM-DD`.
 */
export function learn(
  prior: readonly number[],
  fish: number,
  stops: readonly LoggedStop[],
  date: string,
  rest: RestModel,
): Learned {
  const stock = freshStock(prior.length);
  // What stops that gave fish took.
  const caught = freshStock(prior.length);
  const beliefs = prior.map((start, spot) => {
    let chance = start;
    let shape = SHAPE;
    let rate = (SHAPE * rest.theta) / fish;
    let day: string | undefined;
    for (const stop of stops.filter((candidate) => candidate.spot === spot)) {
      if (day !== undefined && day !== stop.date) {
        chance = overnight(chance, start, nightsBetween(day, stop.date));
        clearStock(stock, spot);
        clearStock(caught, spot);
      }
      day = stop.date;
      takeStop(stock, stop, rest);
      const exposure = shareLeft(caught, stop, rest) * shareOfStay(stop, rest) * rest.theta;
      const blank = (rate / (rate + exposure)) ** shape;
      if (stop.fish === 0) {
        // The rate stays: it is a belief about fish that bite, and learning it from blanks would make the next blank say less.
        chance = (chance * blank) / (1 - chance + chance * blank);
        continue;
      }
      chance = Math.max(chance, PROVED);
      shape += stop.fish;
      rate += exposure;
      takeStop(caught, stop, rest);
    }
    if (day !== undefined && day !== date) {
      chance = overnight(chance, start, nightsBetween(day, date));
      clearStock(stock, spot);
    }
    return { chance, fish: (rest.theta * shape) / rate };
  });
  return { beliefs, taken: stock };
}

const overnight = (chance: number, prior: number, nights: number): number =>
  prior + KEPT_OVERNIGHT ** nights * (chance - prior);

/** Nights between two days `YYYY-MM-DD`, at least 1. */
const nightsBetween = (from: string, to: string): number =>
  Math.max(1, Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / 86_400_000));

function freshStock(count: number): TakenStock {
  return {
    share: new Float64Array(2 * count),
    since: new Float64Array(count),
    left: new Float64Array(2 * count).fill(-Infinity),
    visits: new Uint8Array(count),
  };
}

function clearStock(stock: TakenStock, spot: number): void {
  for (const own of [2 * spot, 2 * spot + 1]) {
    stock.share[own] = 0;
    stock.left[own] = -Infinity;
  }
  stock.visits[spot] = 0;
}

/** Records a logged stop and what it took; the stock is brought up to its end. */
function takeStop(stock: TakenStock, stop: LoggedStop, rest: RestModel): void {
  const { spot, side, time, stay } = stop;
  const own = 2 * spot + side;
  const taken = shareLeft(stock, stop, rest) * shareOfStay(stop, rest);
  const kept = keptUntil(stock, stop, rest);
  stock.share[own] *= kept;
  stock.share[own ^ 1] *= kept;
  stock.share[own] += taken;
  stock.since[spot] = time + stay;
  stock.left[own] = time + stay;
  stock.visits[spot]++;
}

/** Share of a side's stock that is there when a stop begins. */
function shareLeft(stock: TakenStock, stop: LoggedStop, rest: RestModel): number {
  const own = 2 * stop.spot + stop.side;
  const gone = stock.share[own] + rest.kappa * stock.share[own ^ 1];
  return Math.max(0, 1 - keptUntil(stock, stop, rest) * gone);
}

/** Part of what was taken that has not come back when a stop begins. */
const keptUntil = (stock: TakenStock, { spot, time }: LoggedStop, rest: RestModel): number =>
  stock.visits[spot] > 0 ? Math.exp(-Math.max(0, time - stock.since[spot]) / rest.rho) : 1;

/** Part of what is there that a stay takes. */
const shareOfStay = ({ stay }: LoggedStop, rest: RestModel): number => 1 - Math.exp(-stay / rest.theta);
