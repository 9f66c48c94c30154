import type { DepthGrid } from '../contract/index.ts';
import { type DepthMixture, type MarkSounding, momentsOf, withMarkDepth } from './depth-mixture.ts';
import type { Posterior } from './gaussian-process.ts';
import type { SlopeFields } from './slope-fields.ts';

/** Standard deviation of a mark's position along one axis, m: 3 m root mean square in the plane. */
const POSITION_SD = 3 / Math.SQRT2;

/** Effect of the mark's own depth on the depth, the gradient and the grid around the mark. */
export interface MarkUpdate {
  readonly mixture: DepthMixture;
  readonly posterior: Posterior;
  /** Adds the change in depth at the mark, fading with distance, and scales the standard deviations. */
  applyTo(grid: DepthGrid): DepthGrid;
}

/**
 * Updates depth, gradient and grid with the depth recorded in a mark, as with one more sounding.
 *
 * @param posterior Depth and gradient from the passes alone.
 * @param passes Distribution of the depth from the passes alone, allowing for missed forms.
 * @param slopes From the passes alone; used to convert the mark's position error to a depth error.
 */
export function updateByMark(
  posterior: Posterior,
  passes: DepthMixture,
  { gradient, slopeSd = 0 }: SlopeFields,
  mark: MarkSounding,
): MarkUpdate {
  const steep = Math.hypot(gradient?.[0] ?? 0, gradient?.[1] ?? 0, Math.tan((slopeSd * Math.PI) / 180));
  const mixture = withMarkDepth(passes, mark, Math.hypot(mark.sd, POSITION_SD * steep));
  const before = momentsOf(passes);
  const after = momentsOf(mixture);
  const change = after.mean - before.mean;
  const left = (after.sd / before.sd) ** 2;
  return { mixture, posterior: shift(posterior, change, Math.min(1, left)), applyTo };

  function applyTo(grid: DepthGrid): DepthGrid {
    const half = (grid.size - 1) / 2;
    const depth = grid.depth.slice();
    const sd = grid.sd.slice();
    const middle = grid.sd[half * grid.size + half];
    for (let row = 0; row < grid.size; row++)
      for (let column = 0; column < grid.size; column++) {
        const node = row * grid.size + column;
        const square = ((row - half) ** 2 + (column - half) ** 2) * grid.cellSize ** 2;
        const alike = Math.exp(-square / (2 * grid.range ** 2));
        depth[node] = Math.max(0, depth[node] + alike * Math.min(1, sd[node] / middle) * change);
        sd[node] *= Math.sqrt(1 + alike ** 2 * (left - 1));
      }
    return { ...grid, depth, sd };
  }
}

/**
 * Updates depth, gradient and covariance at a place for a change in the depth there.
 *
 * @param change Change in the depth, m. @param left Share of the depth's variance that remains, 0 to 1.
 */
function shift({ mean, covariance: c }: Posterior, change: number, left: number): Posterior {
  const variance = c[0];
  if (!(variance > 0)) return { mean: [mean[0] + change, mean[1], mean[2]], covariance: c };
  const rate = [1, c[1] / variance, c[2] / variance];
  const covariance = c.map((value, k) => {
    const [i, j] = [Math.floor(k / 3), k % 3];
    return value - rate[i] * rate[j] * variance * (1 - left);
  });
  return { mean: [mean[0] + change, mean[1] + rate[1] * change, mean[2] + rate[2] * change], covariance };
}
