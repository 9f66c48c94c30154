import { factorAt } from './problem.ts';
import type { CandidatePlan, Scorer } from './scorer.ts';
import { Shortlist } from './shortlist.ts';

/** How insertions are scored: luck x gain^exponent / seconds added. */
export interface InsertionStyle {
  readonly exponent: number;
  /** Random factor by spot. */
  readonly luck: Float64Array;
}

/** Insertions kept for each gap, of spots not in the plan and of spots already in it. */
const KEPT = 3;

/** Greatest luck factor. */
export const MAX_LUCK = 1.3;
const SHARES = 1024;

/** `fresh` raised to an exponent, with and without the first-visit bonus, and its maximum by spot. */
interface Raised {
  readonly powered: Float64Array;
  readonly again: Float64Array;
  readonly top: Float64Array;
  /** Shares 0, 1 / SHARES, ... 1 raised to the exponent, accurate enough for an estimate. */
  readonly ofShare: Float64Array;
}

/** Estimated insertions for one gap of a candidate. */
interface GapLists {
  /** Insertions of spots not in the candidate, and of spots in it. */
  readonly outside: Shortlist;
  readonly inside: Shortlist;
  isScreened: boolean;
}

/**
 * Candidate insertions for each gap of a candidate, kept while the candidate is filled. An insertion leaves most gaps
 * unchanged, so only the two new gaps are screened against all spots.
 *
 * Estimates ignore what a visit takes from later visits to its spot; the best candidates are scored exactly elsewhere.
 */
export class Gaps {
  private readonly scorer: Scorer;
  private readonly latest: Float64Array;
  private readonly used: Uint8Array;
  /**
   * By spot, position of the visit before and after the gap (-1 for none); by position, that of the next visit to the
   * spot.
   */
  private readonly lastAt: Int32Array;
  private readonly nextAt: Int32Array;
  private readonly followers: Int32Array;
  private readonly better: Int32Array;
  /** Spots with the most valuable first, and flags for spots in the candidate or fished today. */
  private readonly byValue: Int32Array;
  private readonly fished: number[] = [];
  private readonly raised = new Map<number, Raised>();
  private lists: GapLists[] = [];
  private spareLists: GapLists[] = [];
  private style: InsertionStyle;
  private powers: Raised;

  // The gap being screened: rows of run times from and to it, departure before it, run across it, latest arrival after
  // it.
  private stops: Int32Array;
  private position = 0;
  private from = 0;
  private to = 0;
  private departed = 0;
  private direct = 0;
  private until = 0;
  private estimated = 0;

  constructor(scorer: Scorer) {
    const { problem, count } = scorer;
    this.scorer = scorer;
    this.latest = new Float64Array(scorer.capacity + 1);
    this.used = new Uint8Array(count);
    this.lastAt = new Int32Array(count);
    this.nextAt = new Int32Array(count);
    this.followers = new Int32Array(scorer.capacity);
    this.stops = new Int32Array(0);
    this.better = new Int32Array(count).map((_, spot) =>
      problem.share[2 * spot + 1] > problem.share[2 * spot] ? 2 * spot + 1 : 2 * spot,
    );
    this.style = { exponent: 1, luck: new Float64Array(count).fill(1) };
    this.powers = this.raise(1);
    const { top } = this.powers;
    this.byValue = new Int32Array(count).map((_, spot) => spot).sort((a, b) => top[b] - top[a] || a - b);
  }

  /** Starts with a new candidate. */
  begin(candidate: CandidatePlan, style: InsertionStyle): void {
    this.style = style;
    this.powers = this.raise(style.exponent);
    for (const lists of this.lists) this.spareLists.push(lists);
    this.lists = [];
    for (let gap = 0; gap <= candidate.length; gap++) this.lists.push(this.freshLists());
  }

  /** Updates the gaps after a stop was inserted into the candidate. */
  inserted(position: number): void {
    this.lists[position].isScreened = false;
    this.lists.splice(position, 0, this.freshLists());
  }

  /**
   * Collects the best insertions of all gaps into two lists.
   *
   * @param candidate Must be the last candidate scored. @param newest Spot inserted last, or -1.
   */
  collect(candidate: CandidatePlan, newest: number, outside: Shortlist, inside: Shortlist): void {
    const { scorer, used, lastAt, nextAt } = this;
    scorer.latestArrivals(candidate, this.latest);
    used.set(scorer.visitsBefore);
    lastAt.fill(-1);
    nextAt.fill(-1);
    this.stops = candidate.stops;
    for (let at = candidate.length - 1; at >= 0; at--) {
      const spot = scorer.spotOf(candidate.stops[at]);
      used[spot]++;
      this.followers[at] = nextAt[spot];
      nextAt[spot] = at;
    }
    this.fished.length = 0;
    for (let spot = 0; spot < scorer.count; spot++) if (used[spot] > 0) this.fished.push(spot);
    outside.clear();
    inside.clear();
    for (let gap = 0; gap <= candidate.length; gap++) {
      if (gap > 0) {
        const spot = scorer.spotOf(candidate.stops[gap - 1]);
        lastAt[spot] = gap - 1;
        nextAt[spot] = this.followers[gap - 1];
      }
      this.standAt(candidate, gap);
      const lists = this.lists[gap];
      if (!lists.isScreened) this.screen(lists);
      else this.renew(lists, newest);
      if (!this.isOpen(candidate, gap)) continue;
      this.pass(lists.outside, outside, candidate.length);
      this.pass(lists.inside, inside, candidate.length);
    }
  }

  /** False before a stop that must be first, and after one that must be last. */
  private isOpen({ stops, length }: CandidatePlan, gap: number): boolean {
    const { first, last } = this.scorer.problem;
    if (length === 0) return true;
    if (gap === 0 && first !== undefined && this.scorer.spotOf(stops[0]) === first) return false;
    return !(gap === length && last !== undefined && this.scorer.spotOf(stops[length - 1]) === last);
  }

  private standAt({ stops, length }: CandidatePlan, gap: number): void {
    const { scorer } = this;
    const { problem, count, width } = scorer;
    const next = gap === length ? count + 1 : scorer.spotOf(stops[gap]);
    this.position = gap;
    this.from = (gap === 0 ? count : scorer.spotOf(stops[gap - 1])) * width;
    this.to = next * width;
    this.departed = gap === 0 ? problem.start : scorer.depart[gap - 1];
    this.direct = problem.travel[this.from + next];
    this.until = this.latest[gap];
  }

  private pass(list: Shortlist, best: Shortlist, length: number): void {
    const { first = -1, last = -1 } = this.scorer.problem;
    for (let at = 0; at < list.length; at++) {
      const spot = this.scorer.spotOf(list.packed[at]);
      if ((spot === first && this.position > 0) || (spot === last && this.position < length)) continue;
      if (list.scores[at] > best.least)
        best.add(list.scores[at], this.position, list.packed[at], list.extra[at]);
    }
  }

  /** Estimates all spots for the gap. A search spends nearly all its time here. */
  private screen(lists: GapLists): void {
    const { scorer, used, from, to, until, departed, direct, better } = this;
    const { count, dwell, limit, toNode, stays, problem } = scorer;
    const { travel, open, factor } = problem;
    const { powered, top } = this.powers;
    const { luck } = this.style;
    const { outside, inside } = lists;
    lists.isScreened = true;
    outside.clear();
    inside.clear();
    scorer.work += count;
    const room = until - departed - dwell[0];
    for (let rank = 0; rank < count; rank++) {
      const spot = this.byValue[rank];
      // A detour never saves time, so the remaining spots are worth less for their time.
      if (factor === undefined && MAX_LUCK * top[spot] <= outside.least * dwell[0]) break;
      const there = travel[from + spot];
      const onward = toNode[to + spot];
      const detour = there + onward - direct;
      if (!(there + onward <= room) || used[spot] > 0) continue;
      if (factor !== undefined) {
        this.addSides(spot, outside);
        continue;
      }
      if (luck[spot] * top[spot] <= outside.least * (detour + dwell[0])) continue;
      const arrive = departed + there;
      const begin = Math.max(open[spot], arrive);
      const wait = begin - arrive + detour;
      const first = better[spot] * stays;
      const last = Math.min(until - onward, limit[spot]) - begin;
      for (let stay = 0; stay < stays && dwell[stay] <= last; stay++) {
        const extra = wait + dwell[stay];
        const score = (luck[spot] * powered[first + stay]) / extra;
        if (score > outside.least) outside.add(score, 0, first + stay, extra);
      }
    }
    for (let at = 0; at < this.fished.length; at++) this.addSides(this.fished[at], inside);
  }

  /** Adds the sides of a spot that is already in the plan, or whose value depends on the time. */
  private addSides(spot: number, list: Shortlist): void {
    const { scorer, until, used } = this;
    const { stays, problem, dwell, limit } = scorer;
    if (used[spot] >= problem.maxVisits) return;
    const { powered } = this.powers;
    const luck = this.style.luck[spot];
    const last = Math.min(until - scorer.toNode[this.to + spot], limit[spot]);
    for (let sideIndex = 2 * spot; sideIndex < 2 * spot + 2; sideIndex++) {
      if (problem.share[sideIndex] <= 0 || (used[spot] === 0 && sideIndex !== this.better[spot])) continue;
      const begin = this.beginAt(sideIndex);
      if (begin + dwell[0] > last || this.isTooNear(sideIndex, begin + dwell[0])) continue;
      const added = begin + scorer.toNode[this.to + spot] - this.direct - this.departed;
      const first = sideIndex * stays;
      const most = (luck * powered[first + stays - 1]) / (added + dwell[0]);
      if (problem.factor === undefined && most <= list.least) continue;
      const quality = this.qualityAt(sideIndex, begin) * luck;
      for (let stay = 0; stay < stays && begin + dwell[stay] <= last; stay++) {
        const extra = added + dwell[stay];
        const score = (powered[first + stay] * quality) / extra;
        if (score > list.least) list.add(score, 0, first + stay, extra);
      }
    }
  }

  /** Start of a stop at a side if inserted into the gap, s of the day. */
  private beginAt(sideIndex: number): number {
    const { scorer, lastAt } = this;
    const { problem } = scorer;
    const spot = sideIndex >> 1;
    const arrive = this.departed + problem.travel[this.from + spot];
    const begin = Math.max(problem.open[spot], arrive);
    if (this.used[spot] === 0) return begin;
    const free = scorer.leftAt(sideIndex, lastAt[spot]) + problem.rest.gap;
    return Math.max(free, begin);
  }

  /** True when the next visit to the same side would come too soon after a departure. */
  private isTooNear(sideIndex: number, depart: number): boolean {
    const next = this.nextAt[sideIndex >> 1];
    if (next < 0 || Math.floor(this.stops[next] / this.scorer.stays) !== sideIndex) return false;
    return depart + this.scorer.problem.rest.gap > this.latest[next];
  }

  /** Loss of value at the next visit to the spot. */
  private lossAfter(sideIndex: number, begin: number): number {
    const { scorer } = this;
    const { problem, stays } = scorer;
    const next = this.nextAt[sideIndex >> 1];
    if (next < 0) return 0;
    const packed = this.stops[next];
    const other = Math.floor(packed / stays);
    const part = (problem.share[other] / problem.share[sideIndex]) * scorer.yields[packed - other * stays];
    const rested = Math.max(0, scorer.begin[next] - begin - scorer.dwell[0]);
    return part * (other === sideIndex ? 1 : problem.rest.kappa) * scorer.decay(rested / problem.rest.rho);
  }

  /** Stock and factor at a side, minus the loss at the next visit, raised to the exponent of the style. */
  private qualityAt(sideIndex: number, begin: number): number {
    const { scorer, lastAt } = this;
    const spot = sideIndex >> 1;
    let quality = this.used[spot] > 0 ? scorer.stockAfter(sideIndex, lastAt[spot], begin) : 1;
    if (scorer.problem.factor !== undefined) quality *= factorAt(scorer.problem, spot, begin);
    quality *= 1 - this.lossAfter(sideIndex, begin);
    if (quality <= 0) return 0;
    if (quality === 1 || this.style.exponent === 1) return quality;
    return quality > 1 ? quality ** this.style.exponent : this.powers.ofShare[Math.round(quality * SHARES)];
  }

  /** Score of an insertion into the gap; 0 when it does not fit. Sets `estimated`, the seconds that it adds. */
  private estimate(packed: number): number {
    const { scorer } = this;
    const sideIndex = Math.floor(packed / scorer.stays);
    const spot = sideIndex >> 1;
    const onward = scorer.toNode[this.to + spot];
    const begin = this.beginAt(sideIndex);
    const depart = begin + scorer.dwell[packed - sideIndex * scorer.stays];
    if (depart + onward > this.until || depart > scorer.limit[spot] || this.isTooNear(sideIndex, depart))
      return 0;
    this.estimated = depart + onward - this.direct - this.departed;
    const powered = this.used[spot] > 0 ? this.powers.again : this.powers.powered;
    return (this.style.luck[spot] * powered[packed] * this.qualityAt(sideIndex, begin)) / this.estimated;
  }

  /** Updates the estimates of a gap after another gap was filled. */
  private renew(lists: GapLists, newest: number): void {
    const { scorer } = this;
    const { outside, inside } = lists;
    if (this.renewList(outside, false) || this.renewList(inside, true)) {
      this.screen(lists);
      return;
    }
    if (newest < 0) return;
    for (let at = inside.length - 1; at >= 0; at--) {
      if (scorer.spotOf(inside.packed[at]) === newest) inside.removeAt(at);
    }
    this.addSides(newest, inside);
  }

  /** @returns True when the list was truncated and nothing of it is left. */
  private renewList(list: Shortlist, isInside: boolean): boolean {
    const { scorer, used } = this;
    const wasCut = list.least > 0;
    for (let at = list.length - 1; at >= 0; at--) {
      const packed = list.packed[at];
      const spot = scorer.spotOf(packed);
      const fits = isInside ? used[spot] < scorer.problem.maxVisits : used[spot] === 0;
      const score = fits ? this.estimate(packed) : 0;
      if (score <= 0) list.removeAt(at);
      else {
        list.scores[at] = score;
        list.extra[at] = this.estimated;
      }
    }
    return wasCut && list.length === 0;
  }

  private freshLists(): GapLists {
    const lists = this.spareLists.pop() ?? {
      outside: new Shortlist(KEPT),
      inside: new Shortlist(KEPT),
      isScreened: false,
    };
    lists.isScreened = false;
    return lists;
  }

  private raise(exponent: number): Raised {
    const known = this.raised.get(exponent);
    if (known !== undefined) return known;
    const { fresh, count, stays } = this.scorer;
    const { bonus } = this.scorer.problem;
    const again = fresh.map((value) => (exponent === 1 ? value : value ** exponent));
    const powered =
      bonus === undefined
        ? again
        : fresh.map(
            (value, packed) => (value > 0 ? value + bonus[this.scorer.spotOf(packed)] : 0) ** exponent,
          );
    const top = new Float64Array(count).map((_, spot) =>
      powered
        .subarray(2 * stays * spot, 2 * stays * (spot + 1))
        .reduce((most, one) => Math.max(most, one), 0),
    );
    const ofShare = Float64Array.from({ length: SHARES + 1 }, (_, at) => (at / SHARES) ** exponent);
    const raised = { powered, again, top, ofShare };
    this.raised.set(exponent, raised);
    return raised;
  }
}
