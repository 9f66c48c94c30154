import { differences, gaussianMean, gradient, knownNodes, type Lattice, type Smoother } from './raster.ts';

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

/** Smoothing of a bottom before lines and forms are looked for, m. */
export const FORM_SMOOTHING = 7;

/** @param depth m; NaN where unknown. @param sigma Of the Gaussian smoothing, m. */
export function terrainOf(lattice: Lattice, depth: ArrayLike<number>, sigma: number): Terrain {
  const mask = knownNodes(depth);
  return terrainOfKnown(lattice, depth, mask, gaussianMean(lattice, mask, sigma));
}

/** The same of one of several bottoms that are known at the same nodes. @param smooth Of the nodes of the mask. */
export function terrainOfKnown(
  lattice: Lattice,
  depth: ArrayLike<number>,
  mask: Uint8Array,
  smooth: Smoother,
): Terrain {
  const { columns, rows, cell } = lattice;
  const smoothed = smooth(depth);
  for (let k = 0; k < smoothed.length; k++) if (!mask[k]) smoothed[k] = Number.NaN;
  const [gx, gy] = gradient(lattice, smoothed);
  const [xx, xy] = gradient(lattice, gx);
  return { columns, rows, cell, depth: smoothed, gx, gy, xx, xy, yy: differences(lattice, gy, 1) };
}
