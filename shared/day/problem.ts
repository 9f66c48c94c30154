/** Side of a spot that a stop fishes from: 0 the downslope boat position, 1 the upslope one. */
export type Side = 0 | 1;

/**
 * The day as numbers: what each spot is worth, how it goes quiet and recovers, and how long runs take.
 *
 * Times are seconds of the day; spots are 0 to `count - 1`, the start is node `count` and the finish
 * `count + 1`. Arrays of two values a spot hold the downslope side first.
 */
export interface DayProblem {
  readonly count: number;
  /** Fish expected from a long stay at a rested spot, >= 0. */
  readonly value: Float64Array;
  /** Two a spot: share of the value that each side gives, 0 to 1; 0 where the side cannot be fished. */
  readonly share: Float64Array;
  /** s of the day; -Infinity where it is always open. */
  readonly open: Float64Array;
  /** s of the day by which a stop has to end; Infinity where it never closes. */
  readonly close: Float64Array;
  /** Run time from node to node, s, (count + 2) squared in rows; Infinity where there is no way. */
  readonly travel: Float64Array;
  /** s of the day at the start node, and the latest at the finish node. */
  readonly start: number;
  readonly finish: number;
  /** Lengths a stop may have, s, ascending. */
  readonly stays: readonly number[];
  readonly rest: RestModel;
  readonly maxVisits: number;
  /** What today's stops have already taken; absent when nothing was fished yet. */
  readonly taken?: TakenStock;
  /** Light, wind and current: value times this by time of the start of a stop. */
  readonly factor?: TimeFactor;
  /** By spot: added to the value of its first visit of the day; how a spot that has to be in the plan gets there. */
  readonly bonus?: Float64Array;
  /** Spot that is the first stop, and spot that is the last, if they are in the plan at all. */
  readonly first?: number;
  readonly last?: number;
  /** Running time alone from node to node, s, as `travel`, and the most of it that the fuel allows. */
  readonly fuel?: { readonly running: Float64Array; readonly most: number };
}

/** True for an order that puts the first and the last stop where they belong and keeps to the fuel. */
export function keepsOrder(problem: DayProblem, spots: ArrayLike<number>, length: number): boolean {
  const { first = -1, last = -1, fuel, count } = problem;
  let running = 0;
  let before = count;
  for (let at = 0; at < length; at++) {
    const spot = spots[at];
    if ((spot === first && at > 0 && spots[0] !== first) || (spot === last && at < length - 1)) return false;
    if (fuel !== undefined) running += fuel.running[before * (count + 2) + spot];
    before = spot;
  }
  if (fuel === undefined) return true;
  return running + (length === 0 ? 0 : fuel.running[before * (count + 2) + count + 1]) <= fuel.most;
}

/** True when `keepsOrder` has anything to keep. */
export const hasOrder = ({ first, last, fuel }: DayProblem): boolean =>
  first !== undefined || last !== undefined || fuel !== undefined;

/** How a school goes quiet and comes back; judgment, see DEVELOPERS.md. */
export interface RestModel {
  /** s between arriving and the first cast. */
  readonly setUp: number;
  /** s in which a share 1 - 1/e of what the spot has to give is taken. */
  readonly theta: number;
  /** s in which the part taken shrinks to 1/e. */
  readonly rho: number;
  /** Part of what was taken from one side that is missing on the other, 0 to 1. */
  readonly kappa: number;
  /** s between leaving a side and fishing the same side again. */
  readonly gap: number;
}

/** Defaults of `RestModel`: 80 % of what was taken is back after two hours. */
export const REST_MODEL: RestModel = { setUp: 180, theta: 900, rho: 4500, kappa: 0.5, gap: 7200 };

export interface TakenStock {
  /** Two a spot: share taken, 0 to 1, at the time `since`. */
  readonly share: Float64Array;
  /** s of the day, one a spot. */
  readonly since: Float64Array;
  /** Two a spot: when that side was left last, s of the day; -Infinity if never today. */
  readonly left: Float64Array;
  readonly visits: Uint8Array;
}

export interface TimeFactor {
  /** s of the day of the first bin, and bin width in s. */
  readonly start: number;
  readonly width: number;
  readonly bins: number;
  /** `bins` a spot, >= 0. */
  readonly values: Float64Array;
}

/** One stop of a plan. */
export interface Stop {
  readonly spot: number;
  readonly side: Side;
  /** Index into the problem's `stays`. */
  readonly stay: number;
}
