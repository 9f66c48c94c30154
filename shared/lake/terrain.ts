import { gaussianMean, gradient, knownNodes, type Lattice } from './raster.ts';

/** One bottom, smoothed, with its derivatives: what lines and areas are found on. All arrays are by node; NaN where unknown. */
export interface Terrain extends Lattice {
  /** m, positive down. */
  readonly depth: Float64Array;
  /** First derivatives along both axes of the lattice, m/m. */
  readonly gx: Float64Array;
  readonly gy: Float64Array;
  /** Second derivatives, 1/m. */
  readonly xx: Float64Array;
  readonly xy: Float64Array;
  readonly yy: Float64Array;
}

/** @param depth m; NaN where unknown. @param sigma Of the Gaussian smoothing, m. */
export function terrainOf(lattice: Lattice, depth: ArrayLike<number>, sigma: number): Terrain {
  const { columns, rows, cell } = lattice;
  const mask = knownNodes(depth);
  const smooth = gaussianMean(lattice, mask, sigma)(depth);
  for (let k = 0; k < smooth.length; k++) if (!mask[k]) smooth[k] = Number.NaN;
  const [gx, gy] = gradient(lattice, smooth);
  const [xx, xy] = gradient(lattice, gx);
  const [, yy] = gradient(lattice, gy);
  return { columns, rows, cell, depth: smooth, gx, gy, xx, xy, yy };
}
