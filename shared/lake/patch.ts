import { bilinear } from '../math/index.ts';
import { type GroundLattice, nodeOf } from './lake-bottom.ts';
import { gaussianMean, knownNodes, type Lattice } from './raster.ts';

/** Square of nodes around a place. */
export interface PatchShape {
  /** Number of nodes along each side, odd, and node spacing, m. */
  readonly size: number;
  readonly cell: number;
  /** Standard deviation of the Gaussian smoothing, m. */
  readonly smoothing: number;
}

/**
 * Smoothed depths of the lake around a place. Beyond the known bottom, the depth of the nearest known node is used.
 *
 * @param values Values of the grid's nodes, m: its depth or a draw. @param turn Direction of the square's first axis, rad
 * from east toward north. @returns m, row by row; undefined where the place itself is unknown.
 */
export type PatchAt = (
  grid: GroundLattice,
  values: ArrayLike<number>,
  lat: number,
  lon: number,
  turn: number,
) => Float64Array | undefined;

/** Patches of one shape. */
export function patchesOf({ size, cell, smoothing }: PatchShape): PatchAt {
  const lattice = { columns: size, rows: size, cell };
  const smoothWhole = gaussianMean(lattice, new Uint8Array(size * size).fill(1), smoothing);
  const half = (size - 1) / 2;
  return (grid, values, lat, lon, turn) => {
    const [x0, y0] = nodeOf(grid, lat, lon);
    if (Number.isNaN(bilinear(grid, values, x0, y0))) return undefined;
    const step = cell / grid.cell;
    const dx = step * Math.cos(turn - grid.axis);
    const dy = step * Math.sin(turn - grid.axis);
    const patch = new Float64Array(size * size);
    let unknown = 0;
    for (let k = 0, v = -half; v <= half; v++)
      for (let u = -half; u <= half; u++, k++) {
        patch[k] = bilinear(grid, values, x0 + u * dx - v * dy, y0 + u * dy + v * dx);
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
