/** Rectangle of nodes. Arrays of values hold row after row; a row runs along the first axis. */
export interface Lattice {
  readonly columns: number;
  readonly rows: number;
  /** Node spacing, m, equal along both axes. */
  readonly cell: number;
}

/** Smooths values of a lattice. The result is 0 at nodes out of reach of the mask. */
export type Smoother = (values: ArrayLike<number>) => Float64Array;

/** Distance at which the Gaussian is cut off, in standard deviations. */
export const CUT_OFF = 3;

/**
 * Prepares a smoother that takes Gaussian means over the nodes in `mask`.
 *
 * @param sigma Standard deviation of the Gaussian, m. @returns A smoother for any values of this lattice.
 */
export function gaussianMean(lattice: Lattice, mask: Uint8Array, sigma: number): Smoother {
  const size = lattice.columns * lattice.rows;
  const blur = gaussianBlur(lattice, sigma);
  const masked = new Float64Array(size);
  const blurred = (values: ArrayLike<number>): Float64Array => {
    masked.set(values);
    for (let k = 0; k < size; k++) if (mask[k] === 0) masked[k] = 0;
    return blur(masked);
  };
  const weight = blurred(mask);
  return (values) => {
    const out = blurred(values);
    for (let k = 0; k < size; k++) out[k] = weight[k] > 1e-9 ? out[k] / weight[k] : 0;
    return out;
  };
}

/** Prepares a separable Gaussian filter, not normalized; values outside the lattice count as 0. */
function gaussianBlur(
  { columns, rows, cell }: Lattice,
  sigma: number,
): (values: Float64Array) => Float64Array {
  const reach = Math.ceil((CUT_OFF * sigma) / cell);
  const factors = Float64Array.from({ length: reach + 1 }, (_, d) =>
    Math.exp(-0.5 * ((d * cell) / sigma) ** 2),
  );
  // Zeros beside the rows, and rows of zeros above and below, avoid tests for the edges.
  const width = columns + 2 * reach;
  const wide = new Float64Array(width * rows);
  const tall = new Float64Array(columns * (rows + 2 * reach));
  return (values) => {
    for (let y = 0; y < rows; y++)
      wide.set(values.subarray(y * columns, (y + 1) * columns), y * width + reach);
    for (let y = 0; y < rows; y++)
      setToWindow(tall, (y + reach) * columns, columns, wide, y * width + reach, 1, factors);
    const out = new Float64Array(values.length);
    for (let y = 0; y < rows; y++)
      setToWindow(out, y * columns, columns, tall, (y + reach) * columns, columns, factors);
    return out;
  };
}

/**
 * Sets a row to the sum over d of `factors[d]` times the values d steps away on both sides. Each run of the
 * inner loop adds the terms for two values of d, so that the row is read and written half as often.
 */
function setToWindow(
  to: Float64Array,
  first: number,
  count: number,
  from: Float64Array,
  middle: number,
  step: number,
  factors: Float64Array,
): void {
  for (let x = 0; x < count; x++) to[first + x] = factors[0] * from[middle + x];
  for (let d = 1; d < factors.length; d += 2) {
    const isLast = d + 1 === factors.length;
    const [f, g] = [factors[d], isLast ? 0 : factors[d + 1]];
    const near = d * step;
    const far = isLast ? near : near + step;
    for (let k = middle, at = first; at < first + count; k++, at++)
      to[at] += f * (from[k - near] + from[k + near]) + g * (from[k - far] + from[k + far]);
  }
}

export const gradient = (lattice: Lattice, values: ArrayLike<number>): [x: Float64Array, y: Float64Array] => [
  differences(lattice, values, 0),
  differences(lattice, values, 1),
];

/** Computes central differences per meter along one axis; one-sided at the edges of the lattice. */
export function differences(
  { columns, rows, cell }: Lattice,
  values: ArrayLike<number>,
  axis: 0 | 1,
): Float64Array {
  const size = columns * rows;
  const out = new Float64Array(size);
  const step = axis === 0 ? 1 : columns;
  const factor = 1 / (2 * cell);
  // The loops are faster when they always read the same type of array.
  const from = values instanceof Float64Array ? values : new Float64Array(values);
  for (let k = step; k < size - step; k++) out[k] = factor * (from[k + step] - from[k - step]);
  const [lines, apart, end] = axis === 0 ? [rows, columns, columns - 1] : [columns, 1, size - columns];
  for (let line = 0; line < lines; line++) {
    const [first, last] = [line * apart, line * apart + end];
    out[first] = (from[first + step] - from[first]) / cell;
    out[last] = (from[last] - from[last - step]) / cell;
  }
  return out;
}

/** Returns 1 where a depth is known, 0 where the depth is NaN. */
export function knownNodes(depth: ArrayLike<number>): Uint8Array {
  const mask = new Uint8Array(depth.length);
  for (let k = 0; k < mask.length; k++) mask[k] = Number.isNaN(depth[k]) ? 0 : 1;
  return mask;
}

/** Finds the smallest and largest column and row of some nodes; infinite without nodes. */
export function extentOf(
  columns: number,
  some: readonly ArrayLike<number>[],
): [left: number, top: number, right: number, bottom: number] {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const nodes of some)
    for (let i = 0; i < nodes.length; i++) {
      const x = nodes[i] % columns;
      const y = Math.floor(nodes[i] / columns);
      if (x < left) left = x;
      if (x > right) right = x;
      if (y < top) top = y;
      if (y > bottom) bottom = y;
    }
  return [left, top, right, bottom];
}

/** Copies a rectangle of a lattice from node (`x0`, `y0`) on. @param stride Columns of the lattice. */
export function cutOut<T extends Float32Array | Float64Array>(
  values: T,
  stride: number,
  x0: number,
  y0: number,
  columns: number,
  rows: number,
): T {
  const out = new (values.constructor as new (length: number) => T)(columns * rows);
  for (let y = 0; y < rows; y++) {
    const from = (y0 + y) * stride + x0;
    out.set(values.subarray(from, from + columns), y * columns);
  }
  return out;
}
