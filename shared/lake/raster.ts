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
  const factors = Float64Array.from({ length: reach + 1 }, (_, d) =>
    Math.exp(-0.5 * ((d * cell) / sigma) ** 2),
  );
  // Zeros about one row spare the test for its ends.
  const row = new Float64Array(columns + 2 * reach);
  const along = new Float64Array(values.length);
  for (let y = 0; y < rows; y++) {
    row.set(values.subarray(y * columns, (y + 1) * columns), reach);
    for (let x = 0; x < columns; x++) {
      const at = x + reach;
      let sum = factors[0] * row[at];
      for (let d = 1; d <= reach; d++) sum += factors[d] * (row[at - d] + row[at + d]);
      along[y * columns + x] = sum;
    }
  }
  const out = new Float64Array(values.length);
  for (let y = 0; y < rows; y++) {
    const to = out.subarray(y * columns, (y + 1) * columns);
    for (let d = Math.max(-reach, -y); d <= Math.min(reach, rows - 1 - y); d++) {
      const factor = factors[Math.abs(d)];
      const from = (y + d) * columns;
      for (let x = 0; x < columns; x++) to[x] += factor * along[from + x];
    }
  }
  return out;
}

/** Central differences, m/m, along both axes; one-sided at the edges of the lattice. */
export const gradient = (lattice: Lattice, values: ArrayLike<number>): [x: Float64Array, y: Float64Array] => [
  differences(lattice, values, 0),
  differences(lattice, values, 1),
];

/** Central differences along one axis, 0 or 1; one-sided at the edges of the lattice. */
export function differences(
  { columns, rows, cell }: Lattice,
  values: ArrayLike<number>,
  axis: 0 | 1,
): Float64Array {
  const out = new Float64Array(columns * rows);
  const step = axis === 0 ? 1 : columns;
  const last = (axis === 0 ? columns : rows) - 1;
  for (let y = 0; y < rows; y++)
    for (let x = 0; x < columns; x++) {
      const k = y * columns + x;
      const at = axis === 0 ? x : y;
      const before = at > 0 ? 1 : 0;
      const after = at < last ? 1 : 0;
      out[k] = (values[k + after * step] - values[k - before * step]) / ((after + before) * cell);
    }
  return out;
}

/** 1 where a depth is known. */
export function knownNodes(depth: ArrayLike<number>): Uint8Array {
  const mask = new Uint8Array(depth.length);
  for (let k = 0; k < mask.length; k++) mask[k] = Number.isNaN(depth[k]) ? 0 : 1;
  return mask;
}
