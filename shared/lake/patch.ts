import { bilinear } from '../math/index.ts';
import { gaussianMean, knownNodes, type Lattice } from './raster.ts';

/** Square of nodes around a place. */
export interface PatchShape {
  /** Number of nodes along each side, odd. */
  readonly size: number;
  /** Node spacing, m. */
  readonly cell: number;
  /** Standard deviation of the Gaussian smoothing, m. */
  readonly smoothing: number;
}

/**
 * Samples and smooths the depths of the lake around a place. Beyond the known bottom, depths are extended
 * from the nearest nodes.
 *
 * @param values Values of the lattice's nodes, m: the lake's depth or a draw. @param x, y Place, in nodes.
 * @param turn Direction of the square's first axis, rad from the lattice's first axis toward its second.
 * @returns Depths, m, row by row; undefined where the place itself has no depth.
 */
export type PatchAt = (
  lattice: Lattice,
  values: ArrayLike<number>,
  x: number,
  y: number,
  turn: number,
) => Float64Array | undefined;

export function patchesOf({ size, cell, smoothing }: PatchShape): PatchAt {
  const lattice = { columns: size, rows: size, cell };
  const smoothWhole = gaussianMean(lattice, new Uint8Array(size * size).fill(1), smoothing);
  const half = (size - 1) / 2;
  return (whole, values, x, y, turn) => {
    if (Number.isNaN(bilinear(whole, values, x, y))) return undefined;
    const step = cell / whole.cell;
    const [dx, dy] = [step * Math.cos(turn), step * Math.sin(turn)];
    const patch = new Float64Array(size * size);
    let unknown = 0;
    for (let k = 0, v = -half; v <= half; v++)
      for (let u = -half; u <= half; u++, k++) {
        patch[k] = bilinear(whole, values, x + u * dx - v * dy, y + u * dy + v * dx);
        if (Number.isNaN(patch[k])) unknown++;
      }
    if (unknown === 0) return smoothWhole(patch);
    const known = knownNodes(patch);
    const smooth = gaussianMean(lattice, known, smoothing)(patch);
    for (let k = 0; k < smooth.length; k++) if (!known[k]) smooth[k] = Number.NaN;
    spread(lattice, smooth);
    return smooth;
  };
}

/** Extends known values outward, ring by ring, to nodes without a value. */
function spread({ columns, rows }: Lattice, values: Float64Array): void {
  let left: number[] = [];
  for (let k = 0; k < values.length; k++) if (Number.isNaN(values[k])) left.push(k);
  while (left.length > 0) {
    const means = left.map((k) => {
      const [x, y] = [k % columns, Math.floor(k / columns)];
      let [sum, count] = [0, 0];
      for (let row = Math.max(0, y - 1); row <= Math.min(rows - 1, y + 1); row++)
        for (let column = Math.max(0, x - 1); column <= Math.min(columns - 1, x + 1); column++) {
          const value = values[row * columns + column];
          if (Number.isNaN(value)) continue;
          sum += value;
          count++;
        }
      return sum / count;
    });
    left.forEach((k, i) => {
      values[k] = means[i];
    });
    left = left.filter((k) => Number.isNaN(values[k]));
  }
}
