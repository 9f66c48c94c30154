import { Gaps, type InsertionStyle } from './gaps.ts';
import { type CandidatePlan, copyCandidate, insertStop, type Scorer } from './scorer.ts';
import { Shortlist } from './shortlist.ts';

/**
 * Least gain, fish. It exceeds the step at which plans are compared, so that a stop cannot be inserted and removed
 * forever.
 */
const MIN_GAIN = 1e-6;
/** Number of insertions scored exactly in each round: for spots not in the plan, and as many for spots in it. */
const TRIED = 4;

/** Adds stops to a candidate, the best one each time, until none fits, and scores the candidate. */
export type Fill = (candidate: CandidatePlan, style: InsertionStyle) => void;

/** Inserts stops into candidates. */
export function inserter(scorer: Scorer): Fill {
  const gaps = new Gaps(scorer);
  const trial = scorer.newCandidate();
  const [outside, inside] = [new Shortlist(TRIED), new Shortlist(TRIED)];

  /** The insertion of a list that is best when scored exactly, if it is better than another one. */
  function bestOf(
    list: Shortlist,
    candidate: CandidatePlan,
    style: InsertionStyle,
    than: Insertion,
  ): Insertion {
    let best = than;
    for (let at = 0; at < list.length; at++) {
      const [position, packed] = [list.positions[at], list.packed[at]];
      copyCandidate(candidate, trial);
      insertStop(trial, position, packed);
      if (!scorer.score(trial)) continue;
      const gain = trial.value - candidate.value;
      if (gain <= MIN_GAIN) continue;
      const luck = style.luck[scorer.spotOf(packed)];
      const score = (luck * (style.exponent === 1 ? gain : gain ** style.exponent)) / list.extra[at];
      if (score > best.score) best = { score, position, packed };
    }
    return best;
  }

  return (candidate, style) => {
    if (!scorer.score(candidate)) return;
    gaps.begin(candidate, style);
    for (let newest = -1; candidate.length + 2 < scorer.capacity; ) {
      gaps.collect(candidate, newest, outside, inside);
      const { position, packed } = bestOf(inside, candidate, style, bestOf(outside, candidate, style, NONE));
      if (packed < 0) break;
      insertStop(candidate, position, packed);
      gaps.inserted(position);
      scorer.score(candidate);
      newest = scorer.spotOf(packed);
    }
    scorer.score(candidate);
  };
}

interface Insertion {
  readonly score: number;
  readonly position: number;
  /** The stop; negative for none. */
  readonly packed: number;
}

const NONE: Insertion = { score: 0, position: 0, packed: -1 };
