/** Nodes of the lake grid: `columns * rows`, from the south-west along the first axis. */
export interface Lattice {
  readonly columns: number;
  readonly rows: number;
  /** m between nodes, the same both ways. */
  readonly cell: number;
}

/**
 * Gaussian mean of the values of nodes in `mask`, over nodes in `mask`.
 *
 * @param sigma m. @returns 0 at nodes that no node in `mask` reaches (4 sigma).
 */
export function gaussianMean(
  lattice: Lattice,
  values: ArrayLike<number>,
  mask: Uint8Array,
  sigma: number,
): Float64Array {
  const weight = blur(lattice, Float64Array.from(mask), sigma);
  const sum = blur(
    lattice,
    Float64Array.from(mask, (in_, k) => (in_ ? values[k] : 0)),
    sigma,
  );
  return sum.map((value, k) => (weight[k] > 1e-9 ? value / weight[k] : 0));
}

/** Separable Gaussian filter; what lies outside the lattice counts as 0. */
function blur({ columns, rows, cell }: Lattice, values: Float64Array, sigma: number): Float64Array {
  const reach = Math.ceil((4 * sigma) / cell);
  const kernel = Float64Array.from({ length: reach + 1 }, (_, k) =>
    Math.exp(-0.5 * ((k * cell) / sigma) ** 2),
  );
  const along = new Float64Array(values.length);
  for (let y = 0; y < rows; y++)
    for (let x = 0; x < columns; x++) {
      const value = values[y * columns + x];
      if (value === 0) continue;
      const last = Math.min(columns - 1, x + reach);
      for (let to = Math.max(0, x - reach); to <= last; to++)
        along[y * columns + to] += value * kernel[Math.abs(to - x)];
    }
  const out = new Float64Array(values.length);
  for (let y = 0; y < rows; y++) {
    const last = Math.min(rows - 1, y + reach);
    for (let to = Math.max(0, y - reach); to <= last; to++) {
      const factor = kernel[Math.abs(to - y)];
      for (let x = 0; x < columns; x++) out[to * columns + x] += factor * along[y * columns + x];
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
      const [west, east] = [x > 0 ? k - 1 : k, x < columns - 1 ? k + 1 : k];
      const [south, north] = [y > 0 ? k - columns : k, y < rows - 1 ? k + columns : k];
      gx[k] = (values[east] - values[west]) / ((east - west) * cell);
      gy[k] = (values[north] - values[south]) / (((north - south) / columns) * cell);
    }
  return [gx, gy];
}
