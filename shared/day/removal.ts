import { randomIndex } from '../math/index.ts';
import { type CandidatePlan, removeAt, type Scorer } from './scorer.ts';

/** Removes `count` stops from a scored candidate. */
export type Removal = (scorer: Scorer, candidate: CandidatePlan, count: number, random: () => number) => void;

/** Ways to remove stops. */
export const REMOVALS: readonly Removal[] = [removeSegment, removeRandom, removeWorst, removeNearby];

function removeSegment(_: Scorer, candidate: CandidatePlan, count: number, random: () => number): void {
  const from = randomIndex(random, candidate.length - count + 1);
  for (let left = count; left > 0; left--) removeAt(candidate, from);
}

function removeRandom(_: Scorer, candidate: CandidatePlan, count: number, random: () => number): void {
  for (let left = count; left > 0; left--) removeAt(candidate, randomIndex(random, candidate.length));
}

/** Removes the stops with the least value for their time, partly at random. */
function removeWorst(scorer: Scorer, candidate: CandidatePlan, count: number, random: () => number): void {
  scorer.score(candidate);
  let departed = scorer.problem.start;
  const ratios: number[] = [];
  for (let at = 0; at < candidate.length; at++) {
    ratios.push((scorer.worth[at] / (scorer.depart[at] - departed)) * (0.5 + random()));
    departed = scorer.depart[at];
  }
  removeLeast(candidate, ratios, count);
}

/** Removes a stop and others near it on the water. */
function removeNearby(scorer: Scorer, candidate: CandidatePlan, count: number, random: () => number): void {
  const { problem, width } = scorer;
  const perSpot = 2 * scorer.stays;
  const center = Math.floor(candidate.stops[randomIndex(random, candidate.length)] / perSpot) * width;
  const far: number[] = [];
  for (let at = 0; at < candidate.length; at++)
    far.push(problem.travel[center + Math.floor(candidate.stops[at] / perSpot)]);
  removeLeast(candidate, far, count);
}

function removeLeast(candidate: CandidatePlan, values: number[], count: number): void {
  for (let left = count; left > 0; left--) {
    let least = 0;
    for (let at = 1; at < values.length; at++) if (values[at] < values[least]) least = at;
    removeAt(candidate, least);
    values.splice(least, 1);
  }
}
