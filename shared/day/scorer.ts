import { max } from 'd3-array';
import { decayTable } from './decay.ts';
import { type DayProblem, factorAt, keepsOrder, type Side, type Stop } from './problem.ts';
import { Stock, type TakenStock } from './stock.ts';

/** Tolerance for rounding in sums of times, s. */
const SLOP = 1e-6;

/**
 * Scores orders of stops. Each stop is packed into one number, (spot * 2 + side) * stays + stay.
 *
 * A stop starts at the latest of arrival, opening, and last departure from the side plus `rest.gap`. The
 * value of a stop is V f m x (1 - e^(-d/theta)), plus the spot's bonus at the first visit. V is the value of
 * the spot, f the share of the side, m the factor of the time of day, d the stay, and
 * x = max(0, 1 - h_side - kappa h_other) the stock, where h is the share taken from a side. The stop
 * adds x (1 - e^(-d/theta)) to h of its side. Both h shrink by e^(-dt/rho) in a time dt.
 */
export class Scorer {
  readonly problem: DayProblem;
  readonly count: number;
  readonly stays: number;
  /** Length of a row in the matrix of run times. */
  readonly width: number;
  /** Value by packed stop, at a rested spot with a time factor of 1 and without bonus. */
  readonly fresh: Float64Array;
  readonly decay = decayTable();
  /** Share of the stock taken, by stay. */
  readonly yields: readonly number[];
  /** Set-up plus stay, s, by stay. */
  readonly dwell: readonly number[];
  /** Upper bound on the value of a stop, by spot. */
  readonly most: Float64Array;
  /** Latest departure that the spot's hours and the finish allow, by spot, s of the day. */
  readonly limit: Float64Array;
  /** Cost of the search so far, in scored stops; the same on every machine. */
  work = 0;

  /** Times of each stop, s of the day: arrival, start and departure. */
  readonly arrive: number[] = [];
  readonly begin: number[] = [];
  readonly depart: number[] = [];
  readonly worth: number[] = [];
  /** Stock of the side at the start of each stop, 0 to 1. */
  readonly stock: number[] = [];

  private made = 0;
  node = 0;
  /** Time of leaving `node`, s of the day. */
  time = 0;
  private value = 0;
  /** Stock taken by stops before the plan and by the stops made so far. */
  readonly school: Stock;
  /** Stock taken by stops before the plan. */
  private readonly before: TakenStock;
  private readonly isOrdered: boolean;

  constructor(problem: DayProblem) {
    const { count, rest, stays, finish, travel } = problem;
    this.problem = problem;
    this.count = count;
    this.stays = stays.length;
    this.width = count + 2;
    this.yields = stays.map((stay) => 1 - this.decay(stay / rest.theta));
    this.dwell = stays.map((stay) => rest.setUp + stay);
    this.fresh = new Float64Array(2 * count * stays.length).map((_, packed) => {
      const sideIndex = Math.floor(packed / stays.length);
      return problem.value[sideIndex >> 1] * problem.share[sideIndex] * this.yields[packed % stays.length];
    });
    this.limit = new Float64Array(count).map(
      (_, spot) => Math.min(problem.close[spot], finish - travel[spot * this.width + count + 1]) + SLOP,
    );
    this.most = new Float64Array(count).map((_, spot) => {
      const { bins = 1, values = [] } = problem.factor ?? {};
      const fresh = max(this.fresh.subarray(spot * 2 * stays.length, (spot + 1) * 2 * stays.length))!;
      const factor = max(values.slice(spot * bins, (spot + 1) * bins)) ?? 1;
      return fresh * factor + (problem.bonus?.[spot] ?? 0);
    });
    this.school = new Stock(count, rest, this.decay);
    this.before = problem.taken ?? new Stock(count, rest, this.decay);
    this.isOrdered = (problem.first ?? problem.last ?? problem.fuel) !== undefined;
    this.reset();
  }

  spotOf(packed: number): number {
    return Math.floor(packed / (2 * this.stays));
  }

  pack({ spot, side, stay }: Stop): number {
    return (spot * 2 + side) * this.stays + stay;
  }

  unpack(packed: number): Stop {
    const sideIndex = Math.floor(packed / this.stays);
    return { spot: sideIndex >> 1, side: (sideIndex & 1) as Side, stay: packed % this.stays };
  }

  reset(): void {
    this.made = 0;
    this.node = this.count;
    this.time = this.problem.start;
    this.value = 0;
    this.school.set(this.before);
  }

  /** Makes the next stop. @returns false, without a change, if hours, finish or visits forbid the stop. */
  make(packed: number): boolean {
    const { problem, stays, made, school } = this;
    const sideIndex = (packed / stays) | 0;
    const stay = packed - sideIndex * stays;
    const spot = sideIndex >> 1;
    if (school.visits[spot] >= problem.maxVisits) return false;
    const arrive = this.time + problem.travel[this.node * this.width + spot];
    const begin = this.beginAt(sideIndex, arrive);
    const depart = begin + this.dwell[stay];
    if (!(depart <= this.limit[spot])) return false;
    const stock = school.at(sideIndex, begin);
    let worth = this.fresh[packed] * stock * factorAt(problem, spot, begin);
    if (problem.bonus !== undefined && school.visits[spot] === 0) worth += problem.bonus[spot];
    school.take(sideIndex, begin, depart, stock * this.yields[stay]);
    this.time = depart;
    this.arrive[made] = arrive;
    this.begin[made] = begin;
    this.depart[made] = depart;
    this.worth[made] = worth;
    this.stock[made] = stock;
    this.value += worth;
    this.node = spot;
    this.made++;
    return true;
  }

  /** Returns the start of a stop at a side for an arrival at `arrive`, s of the day. */
  beginAt(sideIndex: number, arrive: number): number {
    const { open, rest } = this.problem;
    return Math.max(arrive, open[sideIndex >> 1], this.school.left[sideIndex] + rest.gap);
  }

  /** Makes all stops of an order, from the start of the plan. */
  score(stops: readonly number[]): Order {
    const broken = { stops, value: Number.NEGATIVE_INFINITY, end: Number.POSITIVE_INFINITY };
    this.work += stops.length;
    const spots = this.isOrdered ? stops.map((packed) => this.spotOf(packed)) : [];
    if (this.isOrdered && !keepsOrder(this.problem, spots)) return broken;
    this.reset();
    for (let at = 0; at < stops.length; at++) if (!this.make(stops[at])) return broken;
    const end = this.time + this.problem.travel[this.node * this.width + this.count + 1];
    return { stops, value: this.value, end };
  }

  /**
   * Returns the latest arrival at each stop, and then at the finish, that leaves the rest of the order
   * possible, s of the day. The values are upper bounds: a later departure from a side also delays the next
   * visit to this side, which is ignored.
   *
   * @param order The order that was scored last.
   */
  latestArrivals({ stops, end }: Order): number[] {
    let slack = this.problem.finish - end;
    const latest = [...stops, 0];
    latest[stops.length] = this.problem.finish + SLOP;
    for (let at = stops.length - 1; at >= 0; at--) {
      const room = this.limit[this.spotOf(stops[at])] - this.depart[at];
      slack = this.begin[at] - this.arrive[at] + Math.min(room, slack);
      latest[at] = this.arrive[at] + slack + SLOP;
    }
    return latest;
  }
}

export interface Order {
  /** Packed as in `Scorer`. */
  readonly stops: readonly number[];
  /** Sum of the values of the stops; -Infinity when the order breaks a rule. */
  readonly value: number;
  /** Arrival at the finish, s of the day; Infinity when the order breaks a rule. */
  readonly end: number;
}

/** Scores an order of stops. @returns The order, and the scorer after its last stop. */
export function scoreOrder(problem: DayProblem, stops: readonly Stop[]): { scorer: Scorer; order: Order } {
  const scorer = new Scorer(problem);
  const order = scorer.score(stops.map((stop) => scorer.pack(stop)));
  return { scorer, order };
}

/** True when `a` has a greater value than `b`, or the same value and an earlier end; both are rounded. */
export function isBetter(a: Order, b: Order): boolean {
  if (a.value === Number.NEGATIVE_INFINITY) return false;
  const first = Math.round(a.value / VALUE_STEP);
  const second = Math.round(b.value / VALUE_STEP);
  return first === second ? Math.round(a.end / END_STEP) < Math.round(b.end / END_STEP) : first > second;
}

/** Step to which `isBetter` rounds values, so that the search cannot cycle. */
const VALUE_STEP = 1e-7;
const END_STEP = 1e-4;
