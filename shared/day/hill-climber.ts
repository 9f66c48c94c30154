import type { InsertionStyle } from './gaps.ts';
import type { Fill } from './insertion.ts';
import { type CandidatePlan, copyCandidate, isBetter, removeAt, type Scorer } from './scorer.ts';

/** Most stops that are moved together. */
const LONGEST_MOVE = 3;
/** Fish. A replacement whose fresh value is worse by less than this is still scored exactly. */
const NEAR_ENOUGH = 0.15;

/** Local search on one candidate at a time; a class, since its loops are slower over variables of a closure. */
export class HillClimber {
  private readonly scorer: Scorer;
  private readonly fill: Fill;
  private readonly plain: InsertionStyle;
  private readonly trial: CandidatePlan;
  private readonly spare: CandidatePlan;
  private readonly latest: Float64Array;
  private readonly nodes: Int32Array;
  private readonly forth: Float64Array;
  private readonly back: Float64Array;
  private readonly used: Uint8Array;
  /** By spot, position of its last visit before the current stop, -1 for none. */
  private readonly lastAt: Int32Array;
  private readonly room: Float64Array;
  private readonly departures: Float64Array;
  private readonly worths: Float64Array;
  private candidate: CandidatePlan;

  constructor(scorer: Scorer, fill: Fill) {
    this.scorer = scorer;
    this.fill = fill;
    this.plain = { exponent: 1, luck: new Float64Array(scorer.count).fill(1) };
    this.candidate = scorer.newCandidate();
    this.trial = scorer.newCandidate();
    this.spare = scorer.newCandidate();
    this.latest = new Float64Array(scorer.capacity + 1);
    this.nodes = new Int32Array(scorer.capacity + 2);
    this.forth = new Float64Array(scorer.capacity + 2);
    this.back = new Float64Array(scorer.capacity + 2);
    this.used = new Uint8Array(scorer.count);
    this.lastAt = new Int32Array(scorer.count);
    this.room = new Float64Array(scorer.capacity);
    this.departures = new Float64Array(scorer.capacity);
    this.worths = new Float64Array(scorer.capacity);
  }

  /**
   * Improves a scored candidate until no move helps.
   *
   * @param thorough Also tries moves that pay only through recovery, pairs of stays, and removing each stop and
   * refilling the gap.
   */
  climb(candidate: CandidatePlan, thorough: boolean): void {
    this.candidate = candidate;
    for (;;) {
      const isMoved =
        this.reorder(thorough) ||
        this.changeStops(thorough) ||
        this.replaceStops() ||
        (thorough && (this.shareStays() || this.trade()));
      if (!isMoved) return;
      this.fill(candidate, this.plain);
    }
  }

  /** Accepts the trial if it is better. */
  private offer(): boolean {
    if (!this.scorer.score(this.trial) || !isBetter(this.trial, this.candidate)) return false;
    copyCandidate(this.trial, this.candidate);
    return true;
  }

  /** Tries another side or stay for one stop, swapping the sides of two stops at one spot, or dropping a stop. */
  private changeStops(thorough: boolean): boolean {
    const { candidate, trial, scorer, used, room } = this;
    const { stays } = scorer;
    const perSpot = 2 * stays;
    this.measure();
    for (let at = 0; at < candidate.length; at++) {
      const packed = candidate.stops[at];
      const first = packed - (packed % perSpot);
      const isShared = used[scorer.spotOf(packed)] > 1;
      const dwell = scorer.dwell[packed % stays];
      copyCandidate(candidate, trial);
      for (let other = first; other < first + perSpot; other++) {
        const longer = scorer.dwell[other % stays] - dwell;
        if (other === packed || longer > room[at]) continue;
        // At a spot visited once, a shorter stay or the worse side pays only through what comes after it.
        if (!thorough && (isShared ? longer < 0 : scorer.fresh[other] <= scorer.fresh[packed])) continue;
        trial.stops[at] = other;
        if (this.offer()) return true;
      }
      for (let later = at + 1; isShared && later < candidate.length; later++) {
        const second = candidate.stops[later];
        if (second - (second % perSpot) !== first) continue;
        trial.stops[at] = first + ((packed - first + stays) % perSpot);
        trial.stops[later] = first + ((second - first + stays) % perSpot);
        if (this.offer()) return true;
        trial.stops[later] = second;
      }
      if (!thorough && !isShared) continue;
      trial.stops[at] = packed;
      removeAt(trial, at);
      if (this.offer()) return true;
    }
    return false;
  }

  /** Scores the candidate and sets `used`, `latest` and `room`, the time by which each stop may grow, s. */
  private measure(): void {
    const { candidate, scorer, used, latest, room } = this;
    scorer.score(candidate);
    scorer.latestArrivals(candidate, latest);
    used.set(scorer.visitsBefore);
    for (let at = 0; at < candidate.length; at++) {
      const spot = scorer.spotOf(candidate.stops[at]);
      const next = at === candidate.length - 1 ? scorer.count + 1 : scorer.spotOf(candidate.stops[at + 1]);
      used[spot]++;
      room[at] = latest[at + 1] - this.run(spot, next) - scorer.depart[at];
    }
  }

  /**
   * Reverses a part (2-opt), moves up to three stops elsewhere (or-opt), or swaps two stops.
   *
   * Moves that add more running time than slack and waits allow are skipped without scoring.
   */
  private reorder(thorough: boolean): boolean {
    const { candidate, trial, nodes, forth, back } = this;
    const room = this.runLengths(thorough);
    copyCandidate(candidate, trial);
    for (let from = 0; from < candidate.length - 1; from++) {
      for (let to = from + 2; to <= candidate.length; to++) {
        const ends = forth[to + 1] - forth[from];
        const reversed =
          this.run(nodes[from], nodes[to]) +
          back[to] -
          back[from + 1] +
          this.run(nodes[from + 1], nodes[to + 1]);
        if (reversed - ends <= room) {
          for (let at = from; at < to; at++) trial.stops[at] = candidate.stops[from + to - 1 - at];
          if (this.offer()) return true;
          this.restore(from, to);
        }
        if (to - from > 3 && this.exchanged(from, to) <= room) {
          trial.stops[from] = candidate.stops[to - 1];
          trial.stops[to - 1] = candidate.stops[from];
          if (this.offer()) return true;
          this.restore(from, to);
        }
        for (let cut = from + 1; cut < to; cut++) {
          if (cut - from > LONGEST_MOVE && to - cut > LONGEST_MOVE) continue;
          if (this.turned(from, cut, to) > room) continue;
          for (let at = cut; at < to; at++) trial.stops[from + at - cut] = candidate.stops[at];
          for (let at = from; at < cut; at++) trial.stops[to - cut + at] = candidate.stops[at];
          if (this.offer()) return true;
          this.restore(from, to);
        }
      }
    }
    return false;
  }

  private restore(from: number, to: number): void {
    for (let at = from; at < to; at++) this.trial.stops[at] = this.candidate.stops[at];
  }

  private run(from: number, to: number): number {
    return this.scorer.problem.travel[from * this.scorer.width + to];
  }

  /**
   * Sums of the run times in both directions by position, where 0 is the start. @returns Running time that a move may
   * add, s.
   */
  private runLengths(thorough: boolean): number {
    const { candidate, scorer, nodes, forth, back } = this;
    const { count } = scorer;
    scorer.score(candidate);
    nodes[0] = count;
    let waits = 0;
    let isPlain = true;
    for (let at = 0; at < candidate.length; at++) {
      nodes[at + 1] = scorer.spotOf(candidate.stops[at]);
      waits += scorer.begin[at] - scorer.arrive[at];
      if (scorer.before[at] >= 0 || scorer.visitsBefore[nodes[at + 1]] > 0) isPlain = false;
    }
    nodes[candidate.length + 1] = count + 1;
    for (let at = 1; at <= candidate.length + 1; at++) {
      forth[at] = forth[at - 1] + this.run(nodes[at - 1], nodes[at]);
      back[at] = back[at - 1] + this.run(nodes[at], nodes[at - 1]);
    }
    if (isPlain && waits === 0 && scorer.problem.factor === undefined) return -MIN_SAVING;
    const room = scorer.problem.finish - candidate.end + waits;
    return thorough ? room : Math.min(room, 0);
  }

  private exchanged(from: number, to: number): number {
    const { nodes } = this;
    return (
      this.run(nodes[from], nodes[to]) +
      this.run(nodes[to], nodes[from + 2]) +
      this.run(nodes[to - 1], nodes[from + 1]) +
      this.run(nodes[from + 1], nodes[to + 1]) -
      this.run(nodes[from], nodes[from + 1]) -
      this.run(nodes[from + 1], nodes[from + 2]) -
      this.run(nodes[to - 1], nodes[to]) -
      this.run(nodes[to], nodes[to + 1])
    );
  }

  private turned(from: number, cut: number, to: number): number {
    const { nodes } = this;
    return (
      this.run(nodes[from], nodes[cut + 1]) +
      this.run(nodes[to], nodes[from + 1]) +
      this.run(nodes[cut], nodes[to + 1]) -
      this.run(nodes[from], nodes[from + 1]) -
      this.run(nodes[cut], nodes[cut + 1]) -
      this.run(nodes[to], nodes[to + 1])
    );
  }

  /** Tries another spot in place of one stop. */
  private replaceStops(): boolean {
    const { candidate, trial, scorer, latest, used, lastAt } = this;
    const { count, stays, width, dwell, limit, fresh, toNode, problem } = scorer;
    this.measure();
    const { departures, worths } = this;
    departures.set(scorer.depart);
    worths.set(scorer.worth);
    scorer.work += candidate.length * count;
    const isTimed = problem.factor !== undefined;
    copyCandidate(candidate, trial);
    lastAt.fill(-1);
    for (let at = 0; at < candidate.length; at++) {
      if (at > 0) lastAt[scorer.spotOf(candidate.stops[at - 1])] = at - 1;
      const current = candidate.stops[at];
      const from = (at === 0 ? count : scorer.spotOf(candidate.stops[at - 1])) * width;
      const to = (at === candidate.length - 1 ? count + 1 : scorer.spotOf(candidate.stops[at + 1])) * width;
      const departed = at === 0 ? problem.start : departures[at - 1];
      const least = worths[at] - NEAR_ENOUGH;
      const ended = departures[at] + problem.travel[scorer.spotOf(current) * width + to / width];
      for (let spot = 0; spot < count; spot++) {
        const arrive = departed + problem.travel[from + spot];
        const onward = toNode[to + spot];
        if (!(arrive + dwell[0] + onward <= latest[at + 1])) continue;
        if (used[spot] >= problem.maxVisits || spot === scorer.spotOf(current)) continue;
        const first = Math.max(arrive, problem.open[spot]);
        for (let side = 2 * spot; side < 2 * spot + 2; side++) {
          if (problem.share[side] <= 0) continue;
          let begin = first;
          let stock = 1;
          // Stops before this one are the same in candidate and trial, so the scorer still holds them.
          if (used[spot] > 0) {
            begin = Math.max(first, scorer.leftAt(side, lastAt[spot]) + problem.rest.gap);
            stock = scorer.stockAfter(side, lastAt[spot], begin);
          }
          for (let stay = stays - 1; stay >= 0; stay--) {
            const packed = side * stays + stay;
            if (problem.factor === undefined && fresh[packed] * stock <= least) break;
            const depart = begin + dwell[stay];
            if (depart + onward > latest[at + 1] || depart > limit[spot]) continue;
            // The move brings no more fish and saves no time.
            if (fresh[packed] * stock <= worths[at] && depart + onward >= ended && !isTimed) continue;
            trial.stops[at] = packed;
            if (this.offer()) return true;
          }
        }
      }
      trial.stops[at] = current;
    }
    return false;
  }

  /** Tries to make one stop shorter and another longer by a step. */
  private shareStays(): boolean {
    const { candidate, trial, scorer } = this;
    const { stays } = scorer;
    copyCandidate(candidate, trial);
    for (let first = 0; first < candidate.length; first++) {
      if (candidate.stops[first] % stays === 0) continue;
      for (let later = 0; later < candidate.length; later++) {
        if (later === first || candidate.stops[later] % stays === stays - 1) continue;
        trial.stops[first] = candidate.stops[first] - 1;
        trial.stops[later] = candidate.stops[later] + 1;
        if (this.offer()) return true;
        trial.stops[later] = candidate.stops[later];
      }
      trial.stops[first] = candidate.stops[first];
    }
    return false;
  }

  /** Tries to remove one stop and insert whatever fits best. */
  private trade(): boolean {
    const { candidate, trial, spare } = this;
    for (let at = 0; at < candidate.length; at++) {
      copyCandidate(candidate, spare);
      removeAt(spare, at);
      this.fill(spare, this.plain);
      copyCandidate(spare, trial);
      if (this.offer()) return true;
    }
    return false;
  }
}

/** Least saving of a move that can only save running time, s; less than this is rounding. */
const MIN_SAVING = 1e-3;
