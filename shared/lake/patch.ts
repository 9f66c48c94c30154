import { bilinear } from '../math/index.ts';
import { type GroundLattice, nodeOf } from './lake-bottom.ts';
import { gaussianMean, knownNodes, type Lattice } from './raster.ts';

/** Square of nodes around a place. Its first axis is turned from east toward north by `turn`, rad. */
export interface PatchShape {
  /** Number of nodes along each side, odd, and node spacing, m. */
  readonly size: number;
  readonly cell: number;
  readonly turn: number;
  /** Standard deviation of the Gaussian smoothing, m. */
  readonly smoothing: number;
}

/**
 * Smoothed depths of the lake around a place. Beyond the known bottom, the depth of the nearest known node is used.
 *
 * @param values Values of the grid's nodes, m: its depth or a draw. @returns m, row by row; undefined where the place
 * itself is unknown.
 */
export function patchAt(
  grid: GroundLattice,
  values: ArrayLike<number>,
  lat: number,
  lon: number,
  { size, cell, turn, smoothing }: PatchShape,
): Float64Array | undefined {
  const [x0, y0] = nodeOf(grid, lat, lon);
  if (Number.isNaN(bilinear(grid, values, x0, y0))) return undefined;
  const step = cell / grid.cell;
  const [dx, dy] = [step * Math.cos(turn - grid.axis), step * Math.sin(turn - grid.axis)];
  const half = (size - 1) / 2;
  const patch = new Float64Array(size * size);
  for (let row = 0; row < size; row++)
    for (let column = 0; column < size; column++) {
      const [u, v] = [column - half, row - half];
      patch[row * size + column] = bilinear(grid, values, x0 + u * dx - v * dy, y0 + u * dy + v * dx);
    }
  const lattice = { columns: size, rows: size, cell };
  const known = knownNodes(patch);
  const smooth = gaussianMean(lattice, known, smoothing)(patch);
  for (let k = 0; k < smooth.length; k++) if (!known[k]) smooth[k] = Number.NaN;
  spread(lattice, smooth);
  return smooth;
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
