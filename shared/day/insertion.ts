import { Gaps, type InsertionStyle, Shortlist } from './gaps.ts';
import { type CandidatePlan, copyCandidate, insertStop, type Scorer } from './scorer.ts';

/**
 * Least gain, fish. It exceeds the step at which plans are compared, so that a stop cannot be inserted and removed
 * forever.
 */
const MIN_GAIN = 1e-6;
/** Number of insertions scored exactly in each round: for spots not in the plan, and as many for spots in it. */
const TRIED = 4;

/** Inserts stops into candidates. */
export class Inserter {
  private readonly scorer: Scorer;
  private readonly gaps: Gaps;
  private readonly trial: CandidatePlan;
  private readonly outside = new Shortlist(TRIED);
  private readonly inside = new Shortlist(TRIED);
  private position = 0;
  private packed = -1;

  constructor(scorer: Scorer) {
    this.scorer = scorer;
    this.gaps = new Gaps(scorer);
    this.trial = scorer.newCandidate();
  }

  /** Adds stops to a candidate, the best one each time, until none fits, and scores the candidate. */
  fill(candidate: CandidatePlan, style: InsertionStyle): void {
    const { scorer, gaps, outside, inside } = this;
    if (!scorer.score(candidate)) return;
    gaps.begin(candidate, style);
    for (let newest = -1; candidate.length + 2 < scorer.capacity; newest = scorer.spotOf(this.packed)) {
      gaps.collect(candidate, newest, outside, inside);
      const value = candidate.value;
      this.packed = -1;
      const score = this.tryList(candidate, value, outside, style, 0);
      this.tryList(candidate, value, inside, style, score);
      if (this.packed < 0) break;
      insertStop(candidate, this.position, this.packed);
      gaps.inserted(this.position);
      scorer.score(candidate);
    }
    scorer.score(candidate);
  }

  /** Scores the insertions of a list exactly and remembers the best. @returns Its score. */
  private tryList(
    candidate: CandidatePlan,
    value: number,
    list: Shortlist,
    style: InsertionStyle,
    least: number,
  ): number {
    const { scorer, trial } = this;
    let best = least;
    for (let at = 0; at < list.length; at++) {
      copyCandidate(candidate, trial);
      insertStop(trial, list.positions[at], list.packed[at]);
      if (!scorer.score(trial)) continue;
      const gain = trial.value - value;
      if (gain <= MIN_GAIN) continue;
      const luck = style.luck[scorer.spotOf(list.packed[at])];
      const score = (luck * (style.exponent === 1 ? gain : gain ** style.exponent)) / list.extra[at];
      if (score <= best) continue;
      best = score;
      this.packed = list.packed[at];
      this.position = list.positions[at];
    }
    return best;
  }
}
