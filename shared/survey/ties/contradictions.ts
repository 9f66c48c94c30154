import type { Survey } from '../../contract/soundings.ts';
import { medianOf } from '../../math/median.ts';
import { differenceOf, type Ties } from './ties.ts';

/** Passes disagree at a place by more than this, m, and by more than so many times what they disagree by elsewhere. */
const LEAST = 0.6;
const TIMES = 5;

/** A node whose depth other passes contradict, and by how much, m. */
export interface Contradiction {
  readonly node: number;
  readonly difference: number;
}

/**
 * Nodes whose depth other passes contradict though the rest of the survey agrees: weed, bait, or a form that one pass missed.
 *
 * Two in a row on one side at least: one by itself is an edge that its place is off by.
 */
export function contradictions(ties: Ties): Contradiction[] {
  const difference = differenceOf(ties, ties.nodes.depth);
  const sizes = difference.filter((own) => !Number.isNaN(own)).map(Math.abs);
  const most = Math.max(LEAST, TIMES * 1.4826 * medianOf(sizes));
  const isOff = (node: number, side: number): boolean => difference[node] * Math.sign(side) > most;
  const found: Contradiction[] = [];
  for (let node = 0; node < difference.length; node++) {
    const own = difference[node];
    if (isOff(node, own) && (isOff(node - 1, own) || isOff(node + 1, own)))
      found.push({ node, difference: own });
  }
  return found;
}

/** Adds half of each disagreement, squared, to the variance of the rows of its node. @returns Whether there are any. */
export function addContradictions(survey: Survey, ties: Ties, variance: Float32Array): boolean {
  const found = contradictions(ties);
  for (const { node, difference } of found)
    for (let row = ties.nodes.row[node]; row < Math.min(ties.nodes.end[node], survey.count); row++)
      variance[row] += (difference / 2) ** 2;
  return found.length > 0;
}
