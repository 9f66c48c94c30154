/** Nodes of the lake grid: `columns * rows`, from the south-west along the first axis. */
export interface Lattice {
  readonly columns: number;
  readonly rows: number;
  /** m between nodes, the same both ways. */
  readonly cell: number;
}

/** Smooths values of a lattice: 0 at nodes that no node of the mask reaches. */
export type Smoother = (values: ArrayLike<number>) => Float64Array;

/** Where the Gaussian is cut off, standard deviations. */
const CUT_OFF = 3;

/**
 * Gaussian mean of the values of nodes in `mask`, over nodes in `mask`.
 *
 * @param sigma m. @returns What smooths any values of this lattice.
 */
export function gaussianMean(lattice: Lattice, mask: Uint8Array, sigma: number): Smoother {
  const size = lattice.columns * lattice.rows;
  const masked = (values: ArrayLike<number>): Float64Array => {
    const out = new Float64Array(size);
    for (let k = 0; k < size; k++) if (mask[k]) out[k] = values[k];
    return blur(lattice, out, sigma);
  };
  const weight = masked(mask);
  return (values) => {
    const out = masked(values);
    for (let k = 0; k < size; k++) out[k] = weight[k] > 1e-9 ? out[k] / weight[k] : 0;
    return out;
  };
}

/** Separable Gaussian filter; what lies outside the lattice counts as 0. */
function blur({ columns, rows, cell }: Lattice, values: Float64Array, sigma: number): Float64Array {
  const reach = Math.ceil((CUT_OFF * sigma) / cell);
  const along = new Float64Array(values.length);
  const out = new Float64Array(values.length);
  for (let d = -reach; d <= reach; d++) {
    const factor = Math.exp(-0.5 * ((d * cell) / sigma) ** 2);
    const [from, to] = [Math.max(0, -d), Math.min(columns, columns - d)];
    for (let y = 0; y < rows; y++) {
      const row = y * columns;
      for (let k = row + from; k < row + to; k++) along[k] += factor * values[k + d];
    }
  }
  for (let y = 0; y < rows; y++) {
    const row = y * columns;
    for (let d = Math.max(-reach, -y); d <= Math.min(reach, rows - 1 - y); d++) {
      const factor = Math.exp(-0.5 * ((d * cell) / sigma) ** 2);
      const step = d * columns;
      for (let k = row; k < row + columns; k++) out[k] += factor * along[k + step];
    }
  }
  return out;
}

/** Central differences, m/m, along both axes; one-sided at the edges of the lattice. */
export function gradient(
  { columns, rows, cell }: Lattice,
  values: ArrayLike<number>,
): [x: Float64Array, y: Float64Array] {
  const gx = new Float64Array(columns * rows);
  const gy = new Float64Array(columns * rows);
  for (let y = 0; y < rows; y++)
    for (let x = 0; x < columns; x++) {
      const k = y * columns + x;
      const west = x > 0 ? k - 1 : k;
      const east = x < columns - 1 ? k + 1 : k;
      const south = y > 0 ? k - columns : k;
      const north = y < rows - 1 ? k + columns : k;
      gx[k] = (values[east] - values[west]) / ((east - west) * cell);
      gy[k] = (values[north] - values[south]) / (((north - south) / columns) * cell);
    }
  return [gx, gy];
}

/** 1 where a depth is known. */
export function knownNodes(depth: ArrayLike<number>): Uint8Array {
  const mask = new Uint8Array(depth.length);
  for (let k = 0; k < mask.length; k++) mask[k] = Number.isNaN(depth[k]) ? 0 : 1;
  return mask;
}
