import type { Survey } from '../../contract/soundings.ts';
import type { Ties } from './ties.ts';
import { differenceOf } from './ties.ts';

/** Passes disagree at a place by more than this, m, and by more than so many standard deviations of noise. */
const LEAST = 0.6;
const NOISES = 6;

/** Nodes whose depth other passes contradict though the rest of the survey agrees: weed, bait, or a form that one pass missed. */
export function contradictedNodes(ties: Ties): number[] {
  const difference = differenceOf(ties, ties.nodes.depth);
  const found: number[] = [];
  for (let i = 0; i < ties.nodes.count; i++)
    if (Math.abs(difference[i]) > Math.max(LEAST, NOISES * ties.noise[i])) found.push(i);
  return found;
}

/** Adds half the disagreement to the variance of the rows of contradicted nodes. @returns True where there are any. */
export function addContradictions(survey: Survey, ties: Ties, variance: Float32Array): boolean {
  const difference = differenceOf(ties, ties.nodes.depth);
  const nodes = contradictedNodes(ties);
  for (const i of nodes)
    for (let row = ties.nodes.row[i]; row < ties.nodes.end[i]; row++)
      if (row < survey.count) variance[row] += difference[i] ** 2 / 4;
  return nodes.length > 0;
}
