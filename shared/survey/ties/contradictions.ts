import { mean } from 'es-toolkit/math';
import { curvatureAlongLegs, noiseOf, type Ties } from './ties.ts';

/** Passes contradict each other where they differ by more than this, m. */
const LEAST = 0.6;
/** The difference must also be more than this many times the noise. */
const TIMES = 5;

/** A node whose depth other passes contradict, with the difference, m. */
export interface Contradiction {
  readonly node: number;
  readonly difference: number;
}

/**
 * Nodes whose depth other passes contradict although the rest of the survey agrees: weed, bait, or a feature
 * that one pass missed.
 *
 * At least two consecutive nodes must be off in the same direction; a single one may be an edge whose
 * position is slightly off.
 */
export function contradictions(ties: Ties): Contradiction[] {
  const { nodes, planes, difference } = ties;
  const curvature = curvatureAlongLegs(nodes);
  // Noise is judged by the curvature along the other passes, since weed makes its own pass look curved.
  const others = curvature.map((_, i) => mean((planes[i]?.from ?? []).map((node) => curvature[node])));
  const noise = noiseOf(ties, others);
  const isOff = (node: number, side: number): boolean =>
    difference[node] * Math.sign(side) > Math.max(LEAST, TIMES * noise[node]);
  const found: Contradiction[] = [];
  for (let node = 0; node < difference.length; node++) {
    const own = difference[node];
    if (isOff(node, own) && (isOff(node - 1, own) || isOff(node + 1, own)))
      found.push({ node, difference: own });
  }
  return found;
}
