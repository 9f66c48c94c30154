import { randomIndex } from '../math/index.ts';
import { type CandidatePlan, removeAt, type Scorer } from './scorer.ts';

/** Removes `count` stops from a scored draft. */
export type Removal = (scorer: Scorer, draft: CandidatePlan, count: number, random: () => number) => void;

/** Ways to remove stops. */
export const REMOVALS: readonly Removal[] = [removeSegment, removeRandom, removeWorst, removeNearby];

function removeSegment(_: Scorer, draft: CandidatePlan, count: number, random: () => number): void {
  const from = randomIndex(random, draft.length - count + 1);
  for (let left = count; left > 0; left--) removeAt(draft, from);
}

function removeRandom(_: Scorer, draft: CandidatePlan, count: number, random: () => number): void {
  for (let left = count; left > 0; left--) removeAt(draft, randomIndex(random, draft.length));
}

/** Removes the stops with the least value for their time, partly at random. */
function removeWorst(scorer: Scorer, draft: CandidatePlan, count: number, random: () => number): void {
  scorer.score(draft);
  let departed = scorer.problem.start;
  const ratios: number[] = [];
  for (let at = 0; at < draft.length; at++) {
    ratios.push((scorer.worth[at] / (scorer.depart[at] - departed)) * (0.5 + random()));
    departed = scorer.depart[at];
  }
  removeLeast(draft, ratios, count);
}

/** Removes a stop and others near it on the water. */
function removeNearby(scorer: Scorer, draft: CandidatePlan, count: number, random: () => number): void {
  const { problem, width } = scorer;
  const perSpot = 2 * scorer.stays;
  const center = Math.floor(draft.stops[randomIndex(random, draft.length)] / perSpot) * width;
  const far: number[] = [];
  for (let at = 0; at < draft.length; at++)
    far.push(problem.travel[center + Math.floor(draft.stops[at] / perSpot)]);
  removeLeast(draft, far, count);
}

function removeLeast(draft: CandidatePlan, values: number[], count: number): void {
  for (let left = count; left > 0; left--) {
    let least = 0;
    for (let at = 1; at < values.length; at++) if (values[at] < values[least]) least = at;
    removeAt(draft, least);
    values.splice(least, 1);
  }
}
