import { decayTable } from './decay.ts';
import { type DayProblem, factorAt, hasOrder, keepsOrder, type Side, type Stop } from './problem.ts';

/**
 * An order of stops being optimized. Each stop is packed into one number, (spot * 2 + side) * stays + stay.
 *
 * `value` and `end` are from the last time it was scored.
 */
export interface CandidatePlan {
  readonly stops: Int32Array;
  length: number;
  /** Fish expected; -Infinity when the order breaks a rule. */
  value: number;
  /** Time at the finish, s of the day. */
  end: number;
}

/** More stops than any day holds; limits memory when stops may be short. */
const MAX_STOPS = 400;
/** Tolerance on times, s. Run times are sums of decimals, so a plan may miss a limit through rounding alone. */
const SLOP = 1e-6;

/**
 * Scores orders of stops, each time from the start and without creating objects.
 *
 * A stop starts at the latest of arrival, opening and last departure from the same side plus the gap.
 * Its value is V f m x (1 - e^(-d/theta)) with stock x = max(0, 1 - h_side - kappa h_other); the stop
 * adds x (1 - e^(-d/theta)) to h of its side, and h shrinks by e^(-dt/rho) until the next stop's start.
 *
 * Arrays by position describe the last order scored, so that a search can judge a change without walking the order
 * again.
 */
export class Scorer {
  readonly problem: DayProblem;
  readonly count: number;
  readonly stays: number;
  /** Row length of the run times. */
  readonly width: number;
  readonly capacity: number;
  /** Value by packed stop, on a rested side with factor 1. */
  readonly fresh: Float64Array;
  /** e^-x. */
  readonly decay = decayTable();
  /** Share of the stock taken, by stay. */
  readonly yields: Float64Array;
  /** Set-up plus stay, s, by stay. */
  readonly dwell: Float64Array;
  /** Latest departure by spot that meets its hours and the finish, s of the day. */
  readonly limit: Float64Array;
  /** Run times with rows and columns transposed. */
  readonly toNode: Float64Array;
  /** Visits logged today, by spot. */
  readonly visitsBefore: Uint8Array;

  /** By position: arrival, start and departure, s of the day, the value of the stop, and the stock met. */
  readonly arrive: Float64Array;
  readonly begin: Float64Array;
  readonly depart: Float64Array;
  readonly worth: Float64Array;
  readonly stock: Float64Array;
  /** By position, two each: share taken from the spot's sides and last departure from them, at departure. */
  readonly taken: Float64Array;
  readonly left: Float64Array;
  /** By position, the previous visit to the same spot, -1 for none. */
  readonly before: Int32Array;
  /** Stops scored and insertions screened so far: the cost of a search, equal on every machine. */
  work = 0;

  /** The stops scored last, how many of them the arrays still describe, and the value up to each. */
  private readonly scored: Int32Array;
  private held = 0;
  private readonly valueTo: Float64Array;
  /** By spot, after those stops: position of its last visit (-1 for none), and number of visits that day. */
  readonly lastAt: Int32Array;
  private readonly visits: Uint8Array;
  private readonly spots: Int32Array;
  private readonly isOrdered: boolean;

  constructor(problem: DayProblem) {
    const { count, rest, stays, finish, travel } = problem;
    const longest = (finish - problem.start) / Math.max(1e-9, rest.setUp + stays[0]);
    this.problem = problem;
    this.count = count;
    this.stays = stays.length;
    this.width = count + 2;
    this.capacity = Math.min(MAX_STOPS, Math.max(0, Math.ceil(longest))) + 2;
    this.yields = Float64Array.from(stays, (stay) => 1 - this.decay(stay / rest.theta));
    this.dwell = Float64Array.from(stays, (stay) => rest.setUp + stay);
    this.fresh = new Float64Array(2 * count * stays.length).map((_, packed) => {
      const sideIndex = Math.floor(packed / stays.length);
      return problem.value[sideIndex >> 1] * problem.share[sideIndex] * this.yields[packed % stays.length];
    });
    this.limit = new Float64Array(count).map(
      (_, spot) => Math.min(problem.close[spot], finish - travel[spot * this.width + count + 1]) + SLOP,
    );
    this.toNode = new Float64Array(travel.length).map(
      (_, at) => travel[(at % this.width) * this.width + Math.floor(at / this.width)],
    );
    this.visitsBefore = problem.taken?.visits ?? new Uint8Array(count);
    this.arrive = new Float64Array(this.capacity);
    this.begin = new Float64Array(this.capacity);
    this.depart = new Float64Array(this.capacity);
    this.worth = new Float64Array(this.capacity);
    this.stock = new Float64Array(this.capacity);
    this.taken = new Float64Array(2 * this.capacity);
    this.left = new Float64Array(2 * this.capacity);
    this.before = new Int32Array(this.capacity);
    this.scored = new Int32Array(this.capacity);
    this.valueTo = new Float64Array(this.capacity);
    this.lastAt = new Int32Array(count).fill(-1);
    this.visits = Uint8Array.from(this.visitsBefore);
    this.spots = new Int32Array(this.capacity);
    this.isOrdered = hasOrder(problem);
  }

  newCandidate(): CandidatePlan {
    return { stops: new Int32Array(this.capacity), length: 0, value: 0, end: this.problem.start };
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

  /**
   * Sets the value and end of a candidate, and the arrays by position.
   *
   * This is one loop, since each stop depends on when the previous one ended and what was taken from its spot. The
   * beginning that a candidate shares with the last one scored is not recomputed.
   *
   * @returns False, with value -Infinity, when a window, the visits, the gap or the finish is violated.
   */
  score(candidate: CandidatePlan): boolean {
    const { problem, stays, width, dwell, limit, lastAt, visits, left, taken, scored, before } = this;
    const {
      fresh,
      yields,
      valueTo,
      stock,
      arrive: arrivals,
      begin: begins,
      depart: departs,
      worth: worths,
    } = this;
    const { travel, open, maxVisits, rest, factor, bonus } = problem;
    const { stops, length } = candidate;
    this.work += length;
    candidate.value = Number.NEGATIVE_INFINITY;
    candidate.end = Number.POSITIVE_INFINITY;
    if (this.isOrdered && !this.keepsOrder(candidate)) return false;
    const kept = this.keepCommon(candidate);
    let time = kept === 0 ? problem.start : departs[kept - 1];
    let node = kept === 0 ? this.count : this.spotOf(scored[kept - 1]);
    let value = kept === 0 ? 0 : valueTo[kept - 1];
    for (let at = kept; at < length; at++) {
      const packed = stops[at];
      const sideIndex = (packed / stays) | 0;
      const stay = packed - sideIndex * stays;
      const spot = sideIndex >> 1;
      const arrive = time + travel[node * width + spot];
      let begin = arrive;
      if (open[spot] > begin) begin = open[spot];
      let worth = fresh[packed];
      const last = lastAt[spot];
      before[at] = last;
      if (visits[spot] === 0) {
        const side = sideIndex & 1;
        taken[2 * at + side] = yields[stay];
        taken[2 * at + 1 - side] = 0;
        left[2 * at + 1 - side] = Number.NEGATIVE_INFINITY;
        stock[at] = 1;
      } else {
        if (visits[spot] >= maxVisits) return false;
        const free = this.leftAt(sideIndex, last) + rest.gap;
        if (free > begin) begin = free;
        stock[at] = this.revisit(at, sideIndex, stay, begin);
        worth *= stock[at];
      }
      if (factor !== undefined) worth *= factorAt(problem, spot, begin);
      if (bonus !== undefined && visits[spot] === 0) worth += bonus[spot];
      const depart = begin + dwell[stay];
      if (!(depart <= limit[spot])) return false;
      left[2 * at + (sideIndex & 1)] = depart;
      arrivals[at] = arrive;
      begins[at] = begin;
      departs[at] = depart;
      worths[at] = worth;
      value += worth;
      valueTo[at] = value;
      lastAt[spot] = at;
      visits[spot]++;
      scored[at] = packed;
      this.held = at + 1;
      time = depart;
      node = spot;
    }
    candidate.value = value;
    candidate.end = time + travel[node * width + this.count + 1];
    return true;
  }

  private keepsOrder({ stops, length }: CandidatePlan): boolean {
    for (let at = 0; at < length; at++) this.spots[at] = this.spotOf(stops[at]);
    return keepsOrder(this.problem, this.spots, length);
  }

  /** Bonus of a candidate for holding the spots that must be in it. */
  bonusOf({ stops, length }: CandidatePlan): number {
    const { bonus } = this.problem;
    if (bonus === undefined) return 0;
    const held = new Set(Array.from(stops.subarray(0, length), (packed) => this.spotOf(packed)));
    return [...held].reduce((sum, spot) => sum + (this.visitsBefore[spot] === 0 ? bonus[spot] : 0), 0);
  }

  /**
   * Discards the stops after the beginning that a candidate shares with the last one. @returns Length of that beginning.
   */
  private keepCommon({ stops, length }: CandidatePlan): number {
    const { scored, lastAt, visits } = this;
    const most = Math.min(this.held, length);
    let kept = 0;
    while (kept < most && scored[kept] === stops[kept]) kept++;
    for (let at = this.held - 1; at >= kept; at--) {
      const spot = this.spotOf(scored[at]);
      lastAt[spot] = this.before[at];
      visits[spot]--;
    }
    this.held = kept;
    return kept;
  }

  /** Stock met by a stop at a spot fished before. Sets what is taken and left at that position. */
  private revisit(at: number, sideIndex: number, stay: number, begin: number): number {
    const { taken, left } = this;
    const last = this.before[at];
    const side = sideIndex & 1;
    const kept = this.keptAt(sideIndex >> 1, last, begin);
    const takenHere = kept * this.takenAt(sideIndex, last);
    const otherTaken = kept * this.takenAt(sideIndex ^ 1, last);
    const stock = Math.max(0, 1 - takenHere - this.problem.rest.kappa * otherTaken);
    taken[2 * at + side] = takenHere + stock * this.yields[stay];
    taken[2 * at + 1 - side] = otherTaken;
    left[2 * at + 1 - side] = this.leftAt(sideIndex ^ 1, last);
    return stock;
  }

  /** Stock that a stop would meet at a side after the visit at a position (-1 for none today). */
  stockAfter(sideIndex: number, last: number, begin: number): number {
    if (last < 0 && this.visitsBefore[sideIndex >> 1] === 0) return 1;
    const kept = this.keptAt(sideIndex >> 1, last, begin);
    const gone = this.takenAt(sideIndex, last) + this.problem.rest.kappa * this.takenAt(sideIndex ^ 1, last);
    return Math.max(0, 1 - kept * gone);
  }

  /** Last departure from a side as of the visit at a position; for -1, the departure in the log. */
  leftAt(sideIndex: number, last: number): number {
    if (last >= 0) return this.left[2 * last + (sideIndex & 1)];
    return this.problem.taken === undefined ? Number.NEGATIVE_INFINITY : this.problem.taken.left[sideIndex];
  }

  private takenAt(sideIndex: number, last: number): number {
    return last >= 0 ? this.taken[2 * last + (sideIndex & 1)] : this.problem.taken!.share[sideIndex];
  }

  private keptAt(spot: number, last: number, begin: number): number {
    const since = last >= 0 ? this.depart[last] : this.problem.taken!.since[spot];
    return this.decay(Math.max(0, begin - since) / this.problem.rest.rho);
  }

  /**
   * By position, and last for the finish, the latest arrival that leaves the rest of the candidate possible, s of the day.
   * This is an upper bound, since a wait may shift along with what causes it.
   *
   * The candidate must be the last one scored. @param latest Receives `length + 1` values.
   */
  latestArrivals({ stops, length, end }: CandidatePlan, latest: Float64Array): void {
    let slack = this.problem.finish - end;
    latest[length] = this.problem.finish + SLOP;
    for (let at = length - 1; at >= 0; at--) {
      const room = this.limit[this.spotOf(stops[at])] - this.depart[at];
      slack = this.begin[at] - this.arrive[at] + Math.min(room, slack);
      latest[at] = this.arrive[at] + slack + SLOP;
    }
  }
}

/** An order of stops, and a scorer whose arrays describe it. */
export function scoreOrder(
  problem: DayProblem,
  stops: readonly Stop[],
): { scorer: Scorer; candidate: CandidatePlan } {
  const scorer = new Scorer(problem);
  const candidate = scorer.newCandidate();
  for (const stop of stops) candidate.stops[candidate.length++] = scorer.pack(stop);
  scorer.score(candidate);
  return { scorer, candidate };
}

export function copyCandidate(from: CandidatePlan, to: CandidatePlan): void {
  for (let at = 0; at < from.length; at++) to.stops[at] = from.stops[at];
  to.length = from.length;
  to.value = from.value;
  to.end = from.end;
}

/**
 * True when a candidate is better, or equal in value with an earlier end. Both are rounded, so that moves cannot form a
 * cycle.
 */
export function isBetter(a: CandidatePlan, b: CandidatePlan): boolean {
  if (a.value === Number.NEGATIVE_INFINITY) return false;
  const first = Math.round(a.value / VALUE_STEP);
  const second = Math.round(b.value / VALUE_STEP);
  return first === second ? Math.round(a.end / END_STEP) < Math.round(b.end / END_STEP) : first > second;
}

/** Differences in fish and in s below which two candidates count as equal. */
const VALUE_STEP = 1e-7;
const END_STEP = 1e-4;

export function removeAt(candidate: CandidatePlan, at: number): void {
  const { stops } = candidate;
  for (let next = at + 1; next < candidate.length; next++) stops[next - 1] = stops[next];
  candidate.length--;
}

export function insertStop(candidate: CandidatePlan, at: number, packed: number): void {
  const { stops } = candidate;
  for (let next = candidate.length; next > at; next--) stops[next] = stops[next - 1];
  stops[at] = packed;
  candidate.length++;
}
