import { differences, gaussianMean, gradient, knownNodes, type Lattice, type Smoother } from './raster.ts';

/** A smoothed bottom with its derivatives. All arrays are by node; NaN where unknown. */
export interface Terrain extends Lattice {
  /** Depth, m, positive down. */
  readonly depth: Float64Array;
  /** First derivative along the first axis of the lattice, m/m. */
  readonly gx: Float64Array;
  /** First derivative along the second axis, m/m. */
  readonly gy: Float64Array;
  /** Second derivative along the first axis, 1/m. */
  readonly xx: Float64Array;
  /** Mixed second derivative, 1/m. */
  readonly xy: Float64Array;
  /** Second derivative along the second axis, 1/m. */
  readonly yy: Float64Array;
}

/** Standard deviation of the Gaussian smoothing before the search for lines and forms, m. */
export const FORM_SMOOTHING = 7;

/** Smooths a bottom and computes derivatives. @param sigma Standard deviation of the Gaussian, m. */
export function terrainOf(lattice: Lattice, depth: ArrayLike<number>, sigma: number): Terrain {
  const mask = knownNodes(depth);
  return withDerivatives(lattice, smoothed(depth, mask, gaussianMean(lattice, mask, sigma)));
}

/** Smooths a bottom; NaN where unknown. @param smooth Smoother for the nodes of the mask. */
export function smoothed(depth: ArrayLike<number>, mask: Uint8Array, smooth: Smoother): Float64Array {
  const out = smooth(depth);
  for (let k = 0; k < out.length; k++) if (!mask[k]) out[k] = Number.NaN;
  return out;
}

/** Adds the derivatives to a smoothed bottom. @param depth Depth by node, m. */
export function withDerivatives({ columns, rows, cell }: Lattice, depth: Float64Array): Terrain {
  const lattice = { columns, rows, cell };
  const [gx, gy] = gradient(lattice, depth);
  const [xx, xy] = gradient(lattice, gx);
  return { ...lattice, depth, gx, gy, xx, xy, yy: differences(lattice, gy, 1) };
}
