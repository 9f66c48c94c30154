import type { Bins } from './bins.ts';
import type { LakeBending } from './lake-bending.ts';
import { finerNoiseKey } from './noise.ts';
import type { PlacedLattice } from './place-lattice.ts';

export interface BinErrors {
  /** Variance of each bin's own error, m^2. */
  readonly own: Float64Array;
  /** Standard deviation of the error that the bins of a pass share, at each bin, m. */
  readonly shared: Float64Array;
  /** Key for the noise of each pass (`noiseKey`). The key depends only on where the pass lies. */
  readonly passKeys: ReadonlyMap<number, number>;
}

/** Standard deviation of a pass's depth bias, m, as in the bottom model at marks. */
const BIAS = 0.05;
/** Standard deviation of a pass's position offset along the fall line, m, as in the bottom model at marks. */
const OFFSET = 1;
/** Standard deviation of a bin's own depth error, m. */
const DEPTH_ERROR = 0.05;
/** Standard deviation of a bin's own position error along the fall line, m; 1.05 m together with `OFFSET`. */
const POSITION_ERROR = 0.32;

/**
 * Estimates the errors of bins. A bin's own error comes from sonar noise, depth error, position error on the
 * slope, and bending within a cell. The shared error comes from the depth bias and position offset of the
 * pass, combined into one unknown per pass. Three unknowns (bias, offset on each axis) were slightly more
 * accurate, but took 1.5 times as long.
 */
export function binErrors(
  { lattice: { columns, cell }, nodes, column0, row0 }: PlacedLattice,
  bins: Bins,
  { slope, vv }: LakeBending,
): BinErrors {
  const [own, shared] = [new Float64Array(bins.count), new Float64Array(bins.count)];
  const passKeys = new Map<number, number>();
  for (let k = 0; k < bins.count; k++) {
    const node = Math.round(nodes.y[k]) * columns + Math.round(nodes.x[k]);
    own[k] =
      bins.variance[k] +
      DEPTH_ERROR ** 2 +
      (slope[node] * POSITION_ERROR) ** 2 +
      ((cell * cell) / 8) ** 2 * (vv[node] / 2);
    shared[k] = Math.hypot(BIAS, slope[node] * OFFSET);
    const key = finerNoiseKey(nodes.x[k] + column0, nodes.y[k] + row0, 4) | 0;
    passKeys.set(bins.pass[k], Math.min(key, passKeys.get(bins.pass[k]) ?? key));
  }
  return { own, shared, passKeys };
}
