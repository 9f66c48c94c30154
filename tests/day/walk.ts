import { type DayProblem, factorAt, keepsOrder, type Stop } from '../../shared/day/problem.ts';

/**
 * A plan with times and value that grows and shrinks by one stop at its end. States the rules of `Scorer` a
 * second time, independently.
 *
 * A stop starts at the latest of three times: arrival, opening, and last departure from the same side plus
 * the gap. Its stock is x = max(0, 1 - h_side - kappa h_other), and its yield in a stay of length d is
 * y = x (1 - e^(-d/theta)). The stop is worth value times share times factor times y, plus the bonus on the
 * first visit. It adds y to h of its side. From one stop at a spot to the next, both h shrink by e^(-dt/rho).
 */
export class Walk {
  /** Stops so far. */
  depth = 0;
  /** Number of calls of `push`: the cost of a search, the same on every machine. */
  work = 0;
  /** Departure after each number of stops, s of the day; first the start of the day. */
  readonly departure: Float64Array;
  /** Value after each number of stops. */
  readonly value: Float64Array;
  /** Node after each number of stops; first the start node. */
  readonly node: Int32Array;
  /** Arrival at each stop, s of the day; stops count from 1. */
  readonly arrival: Float64Array;
  /** Start of each stop, s of the day; stops count from 1. */
  readonly begin: Float64Array;
  /** Stock at the start of each stop; stops count from 1. */
  readonly stock: Float64Array;

  /** Two per spot: share missing from each side at the time `since`. */
  readonly taken: Float64Array;
  /** Two per spot: last departure from each side, s of the day. */
  readonly left: Float64Array;
  /** Last departure from each spot, s of the day. */
  readonly since: Float64Array;
  readonly visits: Uint8Array;

  private readonly problem: DayProblem;
  private readonly width: number;
  private readonly yields: Float64Array;
  private readonly sides: Uint8Array;
  private readonly saved: Float64Array;

  constructor(problem: DayProblem) {
    const { count, rest, stays } = problem;
    const longest = (problem.finish - problem.start) / Math.max(1e-9, rest.setUp + stays[0]);
    const capacity = Math.min(MAX_STOPS, Math.max(0, Math.ceil(longest))) + 2;
    this.problem = problem;
    this.width = count + 2;
    this.yields = Float64Array.from(stays, (stay) => 1 - Math.exp(-stay / rest.theta));
    this.departure = new Float64Array(capacity);
    this.value = new Float64Array(capacity);
    this.arrival = new Float64Array(capacity);
    this.begin = new Float64Array(capacity);
    this.stock = new Float64Array(capacity);
    this.node = new Int32Array(capacity);
    this.sides = new Uint8Array(capacity);
    this.saved = new Float64Array(capacity * 4);
    this.taken = problem.taken ? problem.taken.share.slice() : new Float64Array(2 * count);
    this.left = problem.taken ? problem.taken.left.slice() : new Float64Array(2 * count).fill(-Infinity);
    this.since = problem.taken ? problem.taken.since.slice() : new Float64Array(count);
    this.visits = problem.taken ? problem.taken.visits.slice() : new Uint8Array(count);
    this.departure[0] = problem.start;
    this.node[0] = count;
  }

  /**
   * Adds a stop. Returns false without adding it if it breaks a time window, `maxVisits`, the finish or
   * `MAX_STOPS`.
   */
  push(spot: number, side: number, stay: number): boolean {
    const { problem, depth } = this;
    const { rest, travel } = problem;
    this.work++;
    if (this.visits[spot] >= problem.maxVisits || depth + 2 >= this.departure.length) return false;
    const arrival = this.departure[depth] + travel[this.node[depth] * this.width + spot];
    const sideIndex = 2 * spot + side;
    const begin = Math.max(arrival, problem.open[spot], this.left[sideIndex] + rest.gap);
    const departure = begin + rest.setUp + problem.stays[stay];
    if (departure > problem.close[spot] + SLOP) return false;
    if (departure + travel[spot * this.width + problem.count + 1] > problem.finish + SLOP) return false;
    this.add(spot, side, stay, arrival, begin, departure);
    return true;
  }

  private add(
    spot: number,
    side: number,
    stay: number,
    arrival: number,
    begin: number,
    departure: number,
  ): void {
    const { problem, saved } = this;
    const { rest } = problem;
    const sideIndex = 2 * spot + side;
    const other = sideIndex ^ 1;
    const at = 4 * this.depth;
    saved[at] = this.taken[sideIndex];
    saved[at + 1] = this.taken[other];
    saved[at + 2] = this.since[spot];
    saved[at + 3] = this.left[sideIndex];
    if (this.visits[spot] > 0) {
      const kept = Math.exp(-(begin - this.since[spot]) / rest.rho);
      this.taken[sideIndex] *= kept;
      this.taken[other] *= kept;
    }
    const stock = Math.max(0, 1 - this.taken[sideIndex] - rest.kappa * this.taken[other]);
    const caught = stock * this.yields[stay];
    const first = this.visits[spot] === 0 ? (problem.bonus?.[spot] ?? 0) : 0;
    const worth =
      problem.value[spot] * problem.share[sideIndex] * caught * factorAt(problem, spot, begin) + first;
    this.taken[sideIndex] += caught;
    this.since[spot] = departure;
    this.left[sideIndex] = departure;
    this.visits[spot]++;
    const next = ++this.depth;
    this.node[next] = spot;
    this.sides[next] = side;
    this.arrival[next] = arrival;
    this.begin[next] = begin;
    this.stock[next] = stock;
    this.departure[next] = departure;
    this.value[next] = this.value[next - 1] + worth;
  }

  pop(): void {
    const spot = this.node[this.depth];
    const sideIndex = 2 * spot + this.sides[this.depth];
    const at = 4 * --this.depth;
    this.taken[sideIndex] = this.saved[at];
    this.taken[sideIndex ^ 1] = this.saved[at + 1];
    this.since[spot] = this.saved[at + 2];
    this.left[sideIndex] = this.saved[at + 3];
    this.visits[spot]--;
  }

  /** Removes stops until `depth` are left. */
  popTo(depth: number): void {
    while (this.depth > depth) this.pop();
  }

  /** Value so far. */
  get total(): number {
    return this.value[this.depth];
  }

  /** Time at the finish if nothing more is added, s of the day. */
  get end(): number {
    return (
      this.departure[this.depth] +
      this.problem.travel[this.node[this.depth] * this.width + this.problem.count + 1]
    );
  }
}

/** Tolerance on times, s. Run times are sums of decimals, so rounding alone may break a limit. */
const SLOP = 1e-6;
/** Maximum number of stops, more than any day holds. Limits memory when stays are short. */
const MAX_STOPS = 400;

/** Returns the value of a plan, or undefined if the plan breaks a rule. */
export function planValue(problem: DayProblem, stops: readonly Stop[]): number | undefined {
  const walk = new Walk(problem);
  for (const stop of stops) if (!walk.push(stop.spot, stop.side, stop.stay)) return undefined;
  const spots = stops.map(({ spot }) => spot);
  if (!keepsOrder(problem, spots)) return undefined;
  return walk.total;
}
