import type { DayProblem } from './problem.ts';
import { type Sequence, spotOf } from './sequence.ts';
import { factorAt, type Walk } from './walk.ts';

/** A stop that might go into a gap of a plan, by a quick estimate. */
export interface Candidate {
  readonly score: number;
  readonly position: number;
  readonly packed: number;
  /** s that the stop adds: detour, wait, set-up and stay. */
  readonly extra: number;
  /** Factor of chance that it was given. */
  readonly luck: number;
}

/** How candidates are scored: luck x gain^exponent / extra^timePower. */
export interface ScoreStyle {
  readonly exponent: number;
  readonly timePower: 0 | 1;
  /** 0 to 1: luck is 1 +- noise. */
  readonly noise: number;
  readonly random: () => number;
}

/** What scoring needs of a problem, worked out once. */
export interface ScoreTables {
  readonly problem: DayProblem;
  /** By packed stop: value on a rested side, factor 1. */
  readonly fresh: Float64Array;
  /** `fresh` raised to the exponent of the running repair. */
  readonly powered: Float64Array;
  /** By spot: the most of `powered`. */
  readonly top: Float64Array;
  /** True when no stop is worth more at another time of the day: no windows, no light, nothing taken yet. */
  readonly isTimeless: boolean;
}

export function scoreTables(problem: DayProblem): ScoreTables {
  const { count, stays, rest } = problem;
  const fresh = new Float64Array(2 * count * stays.length);
  for (let at = 0; at < fresh.length; at++) {
    const own = Math.floor(at / stays.length);
    const yields = 1 - Math.exp(-stays[at % stays.length] / rest.theta);
    fresh[at] = problem.value[own >> 1] * problem.share[own] * yields;
  }
  const isTimeless =
    problem.factor === undefined &&
    (problem.taken === undefined || problem.taken.visits.every((visits) => visits === 0)) &&
    problem.open.every((open) => open <= problem.start) &&
    problem.close.every((close) => close >= problem.finish);
  const tables = { problem, fresh, powered: fresh.slice(), top: new Float64Array(count), isTimeless };
  raiseTables(tables, 1);
  return tables;
}

/** Sets `powered` and `top` for the exponent of a style. */
export function raiseTables({ problem, fresh, powered, top }: ScoreTables, exponent: number): void {
  const perSpot = 2 * problem.stays.length;
  top.fill(0);
  for (let at = 0; at < fresh.length; at++) {
    const value = exponent === 1 ? fresh[at] : fresh[at] ** exponent;
    powered[at] = value;
    const spot = Math.floor(at / perSpot);
    if (value > top[spot]) top[spot] = value;
  }
}

/** A place between two stops of a plan; the walk stands at the stop before it. */
export interface PlanGap {
  readonly position: number;
  /** Node after the gap. */
  readonly next: number;
  /** s of the day by which that node has to be reached. */
  readonly latest: number;
}

/**
 * Scores every stop that could go into a gap and keeps the best of each list.
 *
 * One loop over spots, sides and stays, since all share what the walk knows where it stands.
 *
 * @param used Visits of each spot in the whole plan.
 * @param outside Takes spots that are not in the plan. @param inside Takes spots that are.
 */
export function screenGap(
  tables: ScoreTables,
  walk: Walk,
  gap: PlanGap,
  used: Uint8Array,
  style: ScoreStyle,
  outside: Shortlist,
  inside: Shortlist,
): void {
  const { problem } = tables;
  const { count, stays, rest, travel, open, close } = problem;
  const departure = walk.departure[walk.depth];
  const before = walk.node[walk.depth] * (count + 2);
  const direct = travel[before + gap.next];
  for (let spot = 0; spot < count; spot++) {
    const arrival = departure + travel[before + spot];
    const onward = travel[spot * (count + 2) + gap.next];
    if (!(arrival + rest.setUp + stays[0] + onward <= gap.latest) || used[spot] >= problem.maxVisits)
      continue;
    const luck = style.noise === 0 ? 1 : 1 + style.noise * (2 * style.random() - 1);
    const list = used[spot] > 0 ? inside : outside;
    if (problem.factor === undefined) {
      const shortest = arrival + rest.setUp + stays[0] + onward - direct - departure;
      const most = style.timePower === 0 ? luck * tables.top[spot] : (luck * tables.top[spot]) / shortest;
      if (most <= list.least) continue;
    }
    for (let side = 0; side < 2; side++) {
      const own = 2 * spot + side;
      if (
        problem.share[own] <= 0 ||
        (used[spot] + walk.visits[spot] === 0 && side !== betterSide(problem, spot))
      )
        continue;
      const begin = Math.max(arrival, open[spot], walk.left[own] + rest.gap);
      const quality = stockAt(problem, walk, spot, side, begin) * factorAt(problem, spot, begin);
      if (quality <= 0) continue;
      for (let stay = 0; stay < stays.length; stay++) {
        const departed = begin + rest.setUp + stays[stay];
        if (departed + onward > gap.latest || departed > close[spot]) break;
        const packed = own * stays.length + stay;
        const extra = departed + onward - direct - departure;
        const gain = raised(tables, packed, quality, style.exponent);
        const score = style.timePower === 0 ? luck * gain : (luck * gain) / extra;
        if (score > list.least) list.add({ score, position: gap.position, packed, extra, luck });
      }
    }
  }
}

function raised({ fresh, powered }: ScoreTables, packed: number, quality: number, exponent: number): number {
  if (quality === 1) return powered[packed];
  return exponent === 1 ? fresh[packed] * quality : (fresh[packed] * quality) ** exponent;
}

const betterSide = (problem: DayProblem, spot: number): number =>
  problem.share[2 * spot + 1] > problem.share[2 * spot] ? 1 : 0;

/** Stock that a stop would meet where the walk stands. */
function stockAt({ rest }: DayProblem, walk: Walk, spot: number, side: number, begin: number): number {
  if (walk.visits[spot] === 0) return 1;
  const own = 2 * spot + side;
  const kept = Math.exp(-(begin - walk.since[spot]) / rest.rho);
  return Math.max(0, 1 - kept * (walk.taken[own] + rest.kappa * walk.taken[own ^ 1]));
}

/** Visits of each spot in a sequence, and the latest times at which its nodes may be reached. */
export interface PlanRoom {
  readonly used: Uint8Array;
  /** By position: s of the day; an upper bound, since a wait may move along with what it waits for. */
  readonly latest: Float64Array;
  /** By position, the node there; the finish at the end. */
  readonly nodes: Int32Array;
}

/** Room of a plan; the walk stands at its end. */
export function planRoom(problem: DayProblem, walk: Walk, sequence: Sequence): PlanRoom {
  const length = sequence.length;
  const used = new Uint8Array(problem.count);
  const nodes = new Int32Array(length + 1);
  const latest = new Float64Array(length + 1);
  nodes[length] = problem.count + 1;
  latest[length] = problem.finish + ROUNDING;
  let slack = problem.finish - walk.end;
  for (let at = length; at >= 1; at--) {
    const spot = spotOf(problem, sequence[at - 1]);
    used[spot]++;
    nodes[at - 1] = spot;
    slack = walk.begin[at] - walk.arrival[at] + Math.min(problem.close[spot] - walk.departure[at], slack);
    latest[at - 1] = walk.arrival[at] + slack + ROUNDING;
  }
  return { used, latest, nodes };
}

/** s. */
const ROUNDING = 1e-6;

/** The best few candidates by score. */
export class Shortlist {
  readonly items: Candidate[] = [];
  /** Score that a candidate has to beat. */
  least = 0;
  private readonly capacity: number;

  constructor(capacity: number) {
    this.capacity = capacity;
  }

  add(candidate: Candidate): void {
    const { items } = this;
    let at = items.length;
    while (at > 0 && items[at - 1].score < candidate.score) at--;
    items.splice(at, 0, candidate);
    if (items.length > this.capacity) items.pop();
    if (items.length === this.capacity) this.least = items[items.length - 1].score;
  }
}
