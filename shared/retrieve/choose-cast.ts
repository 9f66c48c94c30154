import { greatest } from 'd3-array';
import { placeOn } from './cast-lines.ts';
import { type CastRule, turnBetween } from './cast-rules.ts';
import { MOVED, TURNED } from './earlier-cast.ts';
import {
  ALL_PERTURBATIONS,
  type Draws,
  judgeCast,
  NINE_PERTURBATIONS,
  type Perturbation,
  type Verdict,
} from './judge.ts';
import { type Preferences, preferredLength } from './preferences.ts';
import { type Candidate, CLOSE_NET, findCandidates, refineCandidate, type SearchSpace } from './search.ts';
import { holdsDraft, whyNoCast } from './side.ts';
import { isTie } from './spot-score.ts';

/** Bonus for a lure on bottom over the whole stated depth band, as a share of the length among the fish. */
const SPAN_WEIGHT = 0.2;
/** Number of standard deviations taken off a length; favors casts less harmed by a wrong bottom; judgment. */
const CAUTION = 0.3;
/** Share of the best value by which a cast on another side may miss a tie and still be refined. */
const CLOSE_SHARE = 0.05;

export interface JudgedCast extends Candidate, Verdict {
  /** Length among the fish less `CAUTION` standard deviations, with bonuses and penalties, m. */
  readonly value: number;
}

export interface Choice extends JudgedCast {
  /** Bearing of an equally good cast on another side, deg. */
  readonly equalBearing?: number;
  /** True for a cast kept from an earlier plan because no other cast clearly beats it. */
  readonly isKept?: true;
}

/** How many candidates the retrieve model judges, and how thoroughly. */
export type Effort = typeof FULL_EFFORT;
const FULL_EFFORT = {
  /** Number of candidates with the best scores that are judged. */
  finalists: 2,
  /** Number of further candidates judged, on other sides than the best. */
  rivals: 1,
  /** Number of variations of a candidate that are judged with the candidate. */
  refined: 3,
  /** Perturbations over which a chosen candidate and its variations are judged. */
  perturbations: ALL_PERTURBATIONS,
  /** True to search again on a finer net where the usual net has no line for the rule. */
  isThorough: true,
};

/** Search space, draws of the bottom and preferences by which a cast is chosen. */
export interface Chooser {
  readonly space: SearchSpace;
  readonly draws: Draws;
  readonly preferences: Preferences;
  /** Cache of verdicts: the rules of a side often find the same casts. */
  readonly verdicts: Map<string, Verdict>;
}

/**
 * Chooses, among the casts that a rule allows, the cast expected to hold the lure among the fish longest over
 * uncertain bottom and tackle. Preferences decide between nearly equal casts.
 *
 * @param earlier The cast of an earlier plan, kept unless another cast clearly beats it.
 * @returns undefined when no cast is allowed.
 */
export function chooseCast(
  chooser: Chooser,
  rule: CastRule,
  earlier?: Candidate,
  effort: Effort = FULL_EFFORT,
): Choice | undefined {
  const { space } = chooser;
  const { judge, rank, spread } = under(chooser, rule);
  const refine = (one: Candidate): JudgedCast => {
    const near = effort.refined === 0 ? [] : rank(refineCandidate(space, rule, one));
    const tried = [one, ...spread(near, effort.refined)];
    return bestOf(tried.map((candidate) => judge(candidate, effort.perturbations)))!;
  };
  let ranked = rank(findCandidates(space, rule));
  let finalists = spread(ranked, effort.finalists);
  if (finalists.length === 0 && effort.isThorough && whyNoCast(space, rule).missing === 'line') {
    ranked = rank(findCandidates(space, rule, CLOSE_NET));
    finalists = spread(ranked, effort.finalists);
  }
  if (finalists.length === 0) return undefined;
  const others = effort.rivals === 0 ? [] : ranked.filter((one) => isTurned(one, finalists[0]));
  const entrants = [...new Set([...finalists, ...spread(others, effort.rivals)])];
  const judged = entrants.length === 1 ? [] : entrants.map((one) => judge(one, NINE_PERTURBATIONS));
  const first = refine(bestOf(judged) ?? entrants[0]);
  const second = bestOf(judged.filter((one) => isTurned(one, first)));
  const isClose = second !== undefined && isAsGood(second, first, CLOSE_SHARE);
  const rival = isClose ? refine(second) : undefined;
  const [best, next] = rival !== undefined && rival.value > first.value ? [rival, first] : [first, rival];
  const isEqual = next !== undefined && isAsGood(next, best) && isTurned(next, best);
  const choice: Choice = isEqual ? { ...best, equalBearing: next.line.bearing } : best;
  return earlier === undefined ? choice : keepEarlier(judge(earlier, ALL_PERTURBATIONS), choice);
}

const isAsGood = (one: JudgedCast, best: JudgedCast, leeway = 0): boolean =>
  isTie(best.value - one.value - leeway * best.value, best.value, deviationOf(one, best));

/** Returns the standard deviation of the difference in length among the fish between two casts, m. */
const deviationOf = (a: JudgedCast, b: JudgedCast): number => Math.hypot(a.amongSd, b.amongSd);

const isTurned = (a: Candidate, b: Candidate): boolean =>
  turnBetween(a.line.bearing, b.line.bearing) > TURNED;

/** True for casts that an angler would call the same: boats within 15 m, bearings within 45 deg. */
const isAlike = (a: Candidate, b: Candidate): boolean => {
  const [[east, north], [toEast, toNorth]] = [placeOn(a.line, a.boat), placeOn(b.line, b.boat)];
  return !isTurned(a, b) && Math.hypot(toEast - east, toNorth - north) <= MOVED;
};

/**
 * Returns the earlier cast, unless the best cast is better by more than one standard deviation of the
 * difference.
 *
 * If both casts are alike, returns the best one, so that replanning the same soundings gives the same bytes.
 */
function keepEarlier(earlier: JudgedCast, best: Choice): Choice {
  if (isAlike(earlier, best)) return best;
  const isBeaten = best.value - earlier.value > deviationOf(best, earlier);
  if (isBeaten) return best;
  const equal = isTurned(earlier, best) ? best.line.bearing : best.equalBearing;
  const isSame = equal !== undefined && turnBetween(equal, earlier.line.bearing) <= TURNED;
  return { ...earlier, isKept: true, ...(equal === undefined || isSame ? {} : { equalBearing: equal }) };
}

const bestOf = (judged: readonly JudgedCast[]): JudgedCast | undefined =>
  greatest(judged, ({ value }) => value);

function under({ space, draws, preferences, verdicts }: Chooser, rule: CastRule) {
  const { tackle, fish, grid } = space;
  const { draft } = rule;
  const preferred = (length: number, one: Candidate): number =>
    preferredLength(length, one, rule, fish, grid, preferences);
  return {
    judge(one: Candidate, perturbations: readonly Perturbation[]): JudgedCast {
      const { line, boat, cast, lure } = one;
      const key = [line.bearing, line.offset, boat, cast, lure, perturbations.length].join();
      const verdict = verdicts.get(key) ?? judgeCast(one, fish, tackle, draws, perturbations);
      verdicts.set(key, verdict);
      const sure = Math.max(verdict.among - CAUTION * verdict.amongSd, 0);
      return { ...one, ...verdict, value: preferred(sure * (1 + SPAN_WEIGHT * verdict.span), one) };
    },
    /** Sorts candidates by their score from the dive tables, adjusted by the preferences, best first. */
    rank: (candidates: readonly Candidate[]): Candidate[] =>
      candidates
        .map((one) => ({ one, value: preferred(one.score, one) }))
        .sort((a, b) => b.value - a.value)
        .map(({ one }) => one),
    /**
     * Returns up to `most` candidates, no two nearly alike, each with enough water for the draft wherever the
     * boat swings.
     */
    spread(ranked: readonly Candidate[], most: number): Candidate[] {
      const kept: Candidate[] = [];
      for (const one of ranked) {
        if (kept.length === most) break;
        if (kept.some((other) => isNear(one, other))) continue;
        if (holdsDraft(grid, one.line, one.boat, draft)) kept.push(one);
      }
      return kept;
    },
  };
}

const isNear = (a: Candidate, b: Candidate): boolean =>
  a.line === b.line && Math.abs(a.boat - b.boat) <= 3 && Math.abs(a.cast - b.cast) <= 5;
