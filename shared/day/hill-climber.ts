import type { InsertionStyle } from './gaps.ts';
import type { Fill } from './insertion.ts';
import { type CandidatePlan, copyCandidate, isBetter, removeAt, type Scorer } from './scorer.ts';

/** Most stops that are moved together. */
const LONGEST_MOVE = 3;
/** Fish. A replacement whose fresh value is worse by less than this is still scored exactly. */
const NEAR_ENOUGH = 0.15;

/** Local search on one candidate at a time. @returns The function that improves a candidate. */
export function hillClimber(scorer: Scorer, fill: Fill) {
  const { capacity } = scorer;
  const plain: InsertionStyle = { exponent: 1, luck: new Float64Array(scorer.count).fill(1) };
  const [trial, spare] = [scorer.newCandidate(), scorer.newCandidate()];
  let candidate = scorer.newCandidate();
  const latest = new Float64Array(capacity + 1);
  const nodes = new Int32Array(capacity + 2);
  const [forth, back] = [new Float64Array(capacity + 2), new Float64Array(capacity + 2)];
  const used = new Uint8Array(scorer.count);
  /** By spot, position of its last visit before the current stop, -1 for none. */
  const lastAt = new Int32Array(scorer.count);
  const room = new Float64Array(capacity);
  const [departures, worths] = [new Float64Array(capacity), new Float64Array(capacity)];

  /**
   * Improves a scored candidate until no move helps.
   *
   * @param thorough Also tries moves that pay only through recovery, pairs of stays, and removing each stop and
   * refilling the gap.
   */
  function climb(start: CandidatePlan, thorough: boolean): void {
    candidate = start;
    for (;;) {
      const isMoved =
        reorder(thorough) ||
        changeStops(thorough) ||
        replaceStops() ||
        (thorough && (shareStays() || trade()));
      if (!isMoved) return;
      fill(candidate, plain);
    }
  }

  /** Accepts the trial if it is better. */
  function offer(): boolean {
    if (!scorer.score(trial) || !isBetter(trial, candidate)) return false;
    copyCandidate(trial, candidate);
    return true;
  }

  /** Tries another side or stay for one stop, swapping the sides of two stops at one spot, or dropping a stop. */
  function changeStops(thorough: boolean): boolean {
    const { stays } = scorer;
    const perSpot = 2 * stays;
    measure();
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
        if (offer()) return true;
      }
      for (let later = at + 1; isShared && later < candidate.length; later++) {
        const second = candidate.stops[later];
        if (second - (second % perSpot) !== first) continue;
        trial.stops[at] = first + ((packed - first + stays) % perSpot);
        trial.stops[later] = first + ((second - first + stays) % perSpot);
        if (offer()) return true;
        trial.stops[later] = second;
      }
      if (!thorough && !isShared) continue;
      trial.stops[at] = packed;
      removeAt(trial, at);
      if (offer()) return true;
    }
    return false;
  }

  /** Scores the candidate and sets `used`, `latest` and `room`, the time by which each stop may grow, s. */
  function measure(): void {
    scorer.score(candidate);
    scorer.latestArrivals(candidate, latest);
    used.set(scorer.visitsBefore);
    for (let at = 0; at < candidate.length; at++) {
      const spot = scorer.spotOf(candidate.stops[at]);
      const next = at === candidate.length - 1 ? scorer.count + 1 : scorer.spotOf(candidate.stops[at + 1]);
      used[spot]++;
      room[at] = latest[at + 1] - run(spot, next) - scorer.depart[at];
    }
  }

  /**
   * Reverses a part (2-opt), moves up to three stops elsewhere (or-opt), or swaps two stops.
   *
   * Moves that add more running time than slack and waits allow are skipped without scoring.
   */
  function reorder(thorough: boolean): boolean {
    const room = runLengths(thorough);
    copyCandidate(candidate, trial);
    for (let from = 0; from < candidate.length - 1; from++) {
      for (let to = from + 2; to <= candidate.length; to++) {
        const ends = forth[to + 1] - forth[from];
        const reversed =
          run(nodes[from], nodes[to]) + back[to] - back[from + 1] + run(nodes[from + 1], nodes[to + 1]);
        if (reversed - ends <= room) {
          for (let at = from; at < to; at++) trial.stops[at] = candidate.stops[from + to - 1 - at];
          if (offer()) return true;
          restore(from, to);
        }
        if (to - from > 3 && exchanged(from, to) <= room) {
          trial.stops[from] = candidate.stops[to - 1];
          trial.stops[to - 1] = candidate.stops[from];
          if (offer()) return true;
          restore(from, to);
        }
        for (let cut = from + 1; cut < to; cut++) {
          if (cut - from > LONGEST_MOVE && to - cut > LONGEST_MOVE) continue;
          if (turned(from, cut, to) > room) continue;
          for (let at = cut; at < to; at++) trial.stops[from + at - cut] = candidate.stops[at];
          for (let at = from; at < cut; at++) trial.stops[to - cut + at] = candidate.stops[at];
          if (offer()) return true;
          restore(from, to);
        }
      }
    }
    return false;
  }

  function restore(from: number, to: number): void {
    for (let at = from; at < to; at++) trial.stops[at] = candidate.stops[at];
  }

  function run(from: number, to: number): number {
    return scorer.problem.travel[from * scorer.width + to];
  }

  /**
   * Sums of the run times in both directions by position, where 0 is the start. @returns Running time that a move may
   * add, s.
   */
  function runLengths(thorough: boolean): number {
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
      forth[at] = forth[at - 1] + run(nodes[at - 1], nodes[at]);
      back[at] = back[at - 1] + run(nodes[at], nodes[at - 1]);
    }
    if (isPlain && waits === 0 && scorer.problem.factor === undefined) return -MIN_SAVING;
    const room = scorer.problem.finish - candidate.end + waits;
    return thorough ? room : Math.min(room, 0);
  }

  function exchanged(from: number, to: number): number {
    return (
      run(nodes[from], nodes[to]) +
      run(nodes[to], nodes[from + 2]) +
      run(nodes[to - 1], nodes[from + 1]) +
      run(nodes[from + 1], nodes[to + 1]) -
      run(nodes[from], nodes[from + 1]) -
      run(nodes[from + 1], nodes[from + 2]) -
      run(nodes[to - 1], nodes[to]) -
      run(nodes[to], nodes[to + 1])
    );
  }

  function turned(from: number, cut: number, to: number): number {
    return (
      run(nodes[from], nodes[cut + 1]) +
      run(nodes[to], nodes[from + 1]) +
      run(nodes[cut], nodes[to + 1]) -
      run(nodes[from], nodes[from + 1]) -
      run(nodes[cut], nodes[cut + 1]) -
      run(nodes[to], nodes[to + 1])
    );
  }

  /** Tries another spot in place of one stop. */
  function replaceStops(): boolean {
    const { count, stays, width, dwell, limit, fresh, toNode, problem } = scorer;
    measure();
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
            if (offer()) return true;
          }
        }
      }
      trial.stops[at] = current;
    }
    return false;
  }

  /** Tries to make one stop shorter and another longer by a step. */
  function shareStays(): boolean {
    const { stays } = scorer;
    copyCandidate(candidate, trial);
    for (let first = 0; first < candidate.length; first++) {
      if (candidate.stops[first] % stays === 0) continue;
      for (let later = 0; later < candidate.length; later++) {
        if (later === first || candidate.stops[later] % stays === stays - 1) continue;
        trial.stops[first] = candidate.stops[first] - 1;
        trial.stops[later] = candidate.stops[later] + 1;
        if (offer()) return true;
        trial.stops[later] = candidate.stops[later];
      }
      trial.stops[first] = candidate.stops[first];
    }
    return false;
  }

  /** Tries to remove one stop and insert whatever fits best. */
  function trade(): boolean {
    for (let at = 0; at < candidate.length; at++) {
      copyCandidate(candidate, spare);
      removeAt(spare, at);
      fill(spare, plain);
      copyCandidate(spare, trial);
      if (offer()) return true;
    }
    return false;
  }

  return climb;
}

/** Least saving of a move that can only save running time, s; less than this is rounding. */
const MIN_SAVING = 1e-3;
