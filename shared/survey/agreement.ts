import { medianOf } from '../math/index.ts';
import type { Crossings } from './crossings.ts';

/** How well the passes of a survey agree where they cross. */
export interface Agreement {
  readonly crossings: number;
  /**
   * Median of first minus second depth, m, and the 95th percentile of the absolute differences, m; NaN
   * without crossings.
   */
  readonly median: number;
  readonly spread95: number;
  /** Mean depth at the crossings, m. */
  readonly depth: number;
}

export function agreementAt({ count, firstDepth, secondDepth }: Crossings): Agreement {
  const differences = firstDepth.map((depth, i) => depth - secondDepth[i]);
  const sizes = differences.map(Math.abs).sort();
  return {
    crossings: count,
    median: medianOf(differences),
    spread95: count === 0 ? Number.NaN : sizes[Math.min(count - 1, Math.floor(0.95 * count))],
    depth: firstDepth.reduce((sum, depth) => sum + depth, 0) / Math.max(1, count),
  };
}
