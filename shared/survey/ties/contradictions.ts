import { mean } from 'es-toolkit/math';
import { curvatureAlongLegs, noiseOf, type Ties } from './ties.ts';

const MIN_DIFFERENCE = 0.6;
const TIMES_NOISE = 5;

export interface Contradiction {
  readonly node: number;
  /** Depth of the node minus its prediction from other passes, m. */
  readonly difference: number;
}

/**
 * Finds nodes whose depth other passes contradict, as over weed, bait or a feature that one pass missed. Two
 * consecutive nodes must be off in the same direction; a single node may be a steep edge slightly out of
 * place.
 */
export function contradictions(ties: Ties): Contradiction[] {
  const { nodes, planes, difference } = ties;
  const curvature = curvatureAlongLegs(nodes);
  // Curvature is taken along the other passes, because weed makes the bottom look curved on the pass over it.
  const others = curvature.map((_, i) => mean((planes[i]?.from ?? []).map((node) => curvature[node])));
  const noise = noiseOf(ties, others);
  const isOff = (node: number, side: number): boolean =>
    difference[node] * Math.sign(side) > Math.max(MIN_DIFFERENCE, TIMES_NOISE * noise[node]);
  const found: Contradiction[] = [];
  for (let node = 0; node < difference.length; node++) {
    const own = difference[node];
    if (isOff(node, own) && (isOff(node - 1, own) || isOff(node + 1, own)))
      found.push({ node, difference: own });
  }
  return found;
}
