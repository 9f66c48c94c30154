import { pairs, sum } from 'd3-array';
import type { RestModel, TakenStock } from './stock.ts';

/** Side of a spot: 0 is the downslope boat position, 1 the upslope boat position. */
export type Side = 0 | 1;

/**
 * A day as numbers for the search. Nodes 0 to `count - 1` are the spots, node `count` is the start and node
 * `count + 1` the finish. Arrays with two values per spot hold the downslope side first.
 */
export interface DayProblem {
  readonly count: number;
  /** Value of a long stay at a rested spot, >= 0: expected fish times the value of one fish. */
  readonly value: Float64Array;
  /** Two per spot: share of `value` that each side gives, 0 to 1; 0 where the side cannot be fished. */
  readonly share: Float64Array;
  /** Opening time of each spot, s of the day; -Infinity where the spot is always open. */
  readonly open: Float64Array;
  /** Time by which a stop must end, s of the day; Infinity where the spot never closes. */
  readonly close: Float64Array;
  /**
   * Time from node to node with fixed times and slack, s, in rows of `count + 2` values; Infinity where no
   * way exists. The time from a spot to itself is the time to change sides.
   */
  readonly travel: Float64Array;
  /** Time at the start node, s of the day. */
  readonly start: number;
  /** Latest time at the finish node, s of the day. */
  readonly finish: number;
  /** Allowed lengths of a stop without the set-up time, s, ascending. */
  readonly stays: readonly number[];
  readonly rest: RestModel;
  readonly maxVisits: number;
  /** Stock taken by today's earlier stops; may be absent if there are none. */
  readonly taken?: TakenStock;
  /** Factor of the time of day on the value, by start time of the stop. */
  readonly factor?: TimeFactor;
  /** Value added to the first visit of the day, by spot; used for spots that must be in the plan. */
  readonly bonus?: Float64Array;
  /** Spot that must come first, if it is in the plan. */
  readonly first?: number;
  /** Spot that must come last, if it is in the plan. */
  readonly last?: number;
  /** Run times without fixed times, s, laid out like `travel`; and the total time that the fuel allows, s. */
  readonly fuel?: { readonly running: Float64Array; readonly most: number };
}

/** True when the fuel lasts and `first` and `last`, if in the order, come first and last. */
export function keepsOrder(problem: DayProblem, spots: readonly number[]): boolean {
  const { first = -1, last = -1 } = problem;
  const isOrdered = spots.every(
    (spot, at) => (spot !== first || spots[0] === first) && (spot !== last || at === spots.length - 1),
  );
  return isOrdered && isWithinFuel(problem, spots);
}

function isWithinFuel({ fuel, count }: DayProblem, spots: readonly number[]): boolean {
  if (fuel === undefined || spots.length === 0) return true;
  const way = pairs([count, ...spots, count + 1]);
  return sum(way, ([from, to]) => fuel.running[from * (count + 2) + to]) <= fuel.most;
}

/** True when the fuel does not last from the start to a spot and on to the finish. */
export const isBeyondFuel = (problem: DayProblem, spot: number): boolean => !isWithinFuel(problem, [spot]);

export interface TimeFactor {
  /** Start of the first bin, s of the day. */
  readonly start: number;
  /** Width of a bin, s. */
  readonly width: number;
  readonly bins: number;
  /** `bins` values per spot, >= 0. */
  readonly values: Float64Array;
}

/** Returns the factor on the value of a spot at a time, s of the day; 1 when the problem has no factors. */
export function factorAt(problem: DayProblem, spot: number, time: number): number {
  const { factor } = problem;
  if (factor === undefined) return 1;
  const bin = Math.min(factor.bins - 1, Math.max(0, Math.floor((time - factor.start) / factor.width)));
  return factor.values[spot * factor.bins + bin];
}

export interface Stop {
  readonly spot: number;
  readonly side: Side;
  /** Index into the problem's `stays`. */
  readonly stay: number;
}
