import { addToBand, type BandMatrix } from './band-cholesky.ts';
import {
  addToBorder,
  type BorderedBand,
  borderedBand,
  factorBordered,
  solveBordered,
} from './bordered-band.ts';
import { finerNoiseKey, keyedNormal, noiseKey } from './noise.ts';

/** Rectangle of nodes, solved at once; `x0`, `y0` are its first column and row in an infinite lattice. */
export interface Tile {
  readonly x0: number;
  readonly y0: number;
  readonly columns: number;
  readonly rows: number;
  /** Node spacing, m. */
  readonly cell: number;
}

/** Depths to honor. All columns but `passKeys` have one entry per depth. */
export interface TileData {
  /** Position along the first axis from the tile's node (0, 0), in nodes. */
  readonly x: Float64Array;
  /** Position along the second axis from the tile's node (0, 0), in nodes. */
  readonly y: Float64Array;
  /** Depth, m, positive down. */
  readonly depth: Float64Array;
  /** Variance of each depth's own error, m^2, > 0. */
  readonly variance: Float64Array;
  /** Index in `passKeys` of the pass whose error a depth shares; -1 for none. */
  readonly pass: Int32Array;
  /** Standard deviation of the shared error at each depth, m. */
  readonly shared: Float64Array;
  /** Key for the noise of each pass (`noiseKey`). */
  readonly passKeys: Int32Array;
}

/** Bending allowed at each node of a tile; fields as in `LakeBending`. */
export interface Bending {
  readonly uu: ArrayLike<number>;
  readonly vv: ArrayLike<number>;
  readonly uv: ArrayLike<number>;
  readonly direction: ArrayLike<number>;
}

/** Precision of a weak pull of all nodes toward the mean depth, 1/m^2; keeps every tile solvable. */
const RIDGE = 1e-6;

/**
 * Solves one tile as a sheet that honors the depths within their errors and bends as little as possible.
 *
 * The depths z at the nodes and the error e of each pass minimize the sum of four terms:
 * - over the depths of `data`, (bilinear z + shared e - depth)^2 / variance;
 * - over passes, e^2;
 * - over nodes inside the tile, zuu^2 / uu + 2 zuv^2 / uv + zvv^2 / vv;
 * - over all nodes, `RIDGE` (z - mean depth)^2.
 *
 * This is a Gaussian Markov random field with a thin-plate penalty that follows the contour. A draw is the
 * solution with noise added to depths, passes and penalties: a sample of the posterior.
 *
 * Source: Rue and Held 2005, Gaussian Markov Random Fields, 2.4 and 3.4; Papandreou and Yuille 2010 for draws
 * by perturbation.
 *
 * @param draws Number of samples besides the mean.
 * @returns The mean, then the draws: depth at each node, m, then e of each pass.
 */
export function solveSheet(tile: Tile, data: TileData, bending: Bending, draws: number): Float64Array[] {
  const { columns, rows } = tile;
  const size = columns * rows;
  const passes = data.passKeys.length;
  const matrix = borderedBand(size, 2 * columns + 2, passes);
  const sides = Array.from({ length: draws + 1 }, () => new Float64Array(size + passes));
  addPasses(size, data, matrix, sides);
  addDepths(tile, data, matrix, sides);
  addPenalties(tile, bending, matrix.band, sides);
  factorBordered(matrix);
  solveBordered(matrix, sides);
  return sides;
}

function addPasses(
  size: number,
  { passKeys }: TileData,
  { corner }: BorderedBand,
  sides: readonly Float64Array[],
): void {
  for (let pass = 0; pass < passKeys.length; pass++) {
    corner[pass * passKeys.length + pass] = 1;
    for (let draw = 1; draw < sides.length; draw++)
      sides[draw][size + pass] = keyedNormal(passKeys[pass], draw);
  }
}

function addDepths(tile: Tile, data: TileData, matrix: BorderedBand, sides: readonly Float64Array[]): void {
  const { columns, rows } = tile;
  const size = columns * rows;
  const passes = data.passKeys.length;
  const mean = data.depth.reduce((sum, depth) => sum + depth, 0) / Math.max(1, data.depth.length);
  for (let k = 0; k < size; k++) addToBand(matrix.band, k, k, RIDGE);
  for (const side of sides) side.fill(RIDGE * mean, 0, size);
  for (let i = 0; i < data.depth.length; i++) {
    const column = Math.min(columns - 2, Math.max(0, Math.floor(data.x[i])));
    const row = Math.min(rows - 2, Math.max(0, Math.floor(data.y[i])));
    const [p, q] = [data.x[i] - column, data.y[i] - row];
    const node = row * columns + column;
    const nodes = [node, node + 1, node + columns, node + columns + 1];
    const weights = [(1 - p) * (1 - q), p * (1 - q), (1 - p) * q, p * q];
    const precision = 1 / data.variance[i];
    const error = Math.sqrt(data.variance[i]);
    const key = finerNoiseKey(tile.x0 + data.x[i], tile.y0 + data.y[i], 0);
    for (let a = 0; a < 4; a++)
      for (let b = 0; b <= a; b++)
        addToBand(matrix.band, nodes[a], nodes[b], weights[a] * weights[b] * precision);
    const pass = data.pass[i];
    const shared = data.shared[i] * precision;
    if (pass >= 0) {
      for (let a = 0; a < 4; a++) addToBorder(matrix, pass, nodes[a], weights[a] * shared);
      matrix.corner[pass * passes + pass] += data.shared[i] * shared;
    }
    for (let draw = 0; draw < sides.length; draw++) {
      const depth = data.depth[i] + (draw === 0 ? 0 : error * keyedNormal(key, draw));
      for (let a = 0; a < 4; a++) sides[draw][nodes[a]] += weights[a] * precision * depth;
      if (pass >= 0) sides[draw][size + pass] += shared * depth;
    }
  }
}

/** Steps from a node to the 3 by 3 nodes that give its second derivatives, `[x, y]`. */
const STENCIL = [-1, 0, 1].flatMap((y) => [-1, 0, 1].map((x) => [x, y] as const));
/** Kind of each stencil node: 0 center, 1 neighbor on the first axis, 2 on the second axis, 3 corner. */
const PARTS = Int32Array.from(STENCIL, ([x, y]) => (x !== 0 && y !== 0 ? 3 : y !== 0 ? 2 : x !== 0 ? 1 : 0));
/** Sign of each node's weight; nodes of one kind otherwise have equal weights. */
const SIGNS = Int32Array.from(STENCIL, ([x, y]) => (x * y < 0 ? -1 : 1));

function addPenalties(
  tile: Tile,
  bending: Bending,
  matrix: BandMatrix,
  sides: readonly Float64Array[],
): void {
  const { columns, rows } = tile;
  const offsets = Int32Array.from(STENCIL, ([x, y]) => y * columns + x);
  const { start, stride, values } = matrix;
  const [along, mixed, across] = [new Float64Array(4), new Float64Array(4), new Float64Array(4)];
  const products = new Float64Array(16);
  const weights = new Float64Array(12 * columns);
  const keys = new Uint32Array(3 * columns);
  const noise = [0, 1, 2, 3].map(() => new Float64Array(columns + 2));
  for (let y = 1; y < rows - 1; y++) {
    for (let x = 1; x < columns - 1; x++) {
      const k = y * columns + x;
      setPenalty(tile, bending, k, along, mixed, across);
      for (let i = 0; i < 16; i++) {
        const [p, q] = [i >> 2, i & 3];
        products[i] = along[p] * along[q] + mixed[p] * mixed[q] + across[p] * across[q];
      }
      for (let a = 0; a < 9; a++) {
        const row = start + (k + offsets[a]) * stride + k;
        const part = 4 * PARTS[a];
        for (let b = 0; b <= a; b++)
          values[row + offsets[b]] += SIGNS[a] * SIGNS[b] * products[part + PARTS[b]];
      }
      weights.set(along, 12 * x);
      weights.set(mixed, 12 * x + 4);
      weights.set(across, 12 * x + 8);
      for (let kind = 1; kind <= 3; kind++) keys[3 * x + kind - 1] = noiseKey(tile.x0 + x, tile.y0 + y, kind);
    }
    for (let draw = 1; draw < sides.length; draw++)
      addNoise(sides[draw], y * columns, columns, weights, keys, draw, noise);
  }
}

/**
 * Adds the noise of the penalties of a row of nodes to the right-hand side.
 *
 * The arrays `middle` to `corner` are scratch memory for the noise that each node of the row adds to the
 * nodes of its stencil, one array for each kind (`PARTS`).
 */
function addNoise(
  side: Float64Array,
  row: number,
  columns: number,
  weights: Float64Array,
  keys: Uint32Array,
  draw: number,
  [middle, along, across, corner]: readonly Float64Array[],
): void {
  // The first and last node of a row have no penalty, so their noise stays 0, as does the noise beyond them.
  for (let x = 1; x < columns - 1; x++) {
    const [u, m, v] = [
      keyedNormal(keys[3 * x], draw),
      keyedNormal(keys[3 * x + 1], draw),
      keyedNormal(keys[3 * x + 2], draw),
    ];
    const w = 12 * x;
    middle[x + 1] = u * weights[w] + m * weights[w + 4] + v * weights[w + 8];
    along[x + 1] = u * weights[w + 1] + m * weights[w + 5] + v * weights[w + 9];
    across[x + 1] = u * weights[w + 2] + m * weights[w + 6] + v * weights[w + 10];
    corner[x + 1] = u * weights[w + 3] + m * weights[w + 7] + v * weights[w + 11];
  }
  for (let x = 0; x < columns; x++) {
    const k = row + x;
    const corners = corner[x + 2] - corner[x];
    side[k - columns] += across[x + 1] + corners;
    side[k] += middle[x + 1] + along[x] + along[x + 2];
    side[k + columns] += across[x + 1] - corners;
  }
}

/**
 * Sets the stencils of the three second derivatives at a node, divided by their standard deviations. The
 * stencil of the mixed derivative has a factor of sqrt(2), because its square counts twice.
 */
function setPenalty(
  { cell }: Tile,
  bending: Bending,
  k: number,
  along: Float64Array,
  mixed: Float64Array,
  across: Float64Array,
): void {
  const c = Math.cos(bending.direction[k]);
  const s = Math.sin(bending.direction[k]);
  const area = cell * cell;
  setStencil(along, 1 / (area * Math.sqrt(bending.uu[k])), c * c, s * s, 2 * c * s);
  setStencil(mixed, Math.SQRT2 / (area * Math.sqrt(bending.uv[k])), -c * s, c * s, c * c - s * s);
  setStencil(across, 1 / (area * Math.sqrt(bending.vv[k])), s * s, c * c, -2 * c * s);
}

/** Sets the weights of `factor` cell^2 (xx zxx + yy zyy + xy zxy), by kind of node (`PARTS`). */
function setStencil(out: Float64Array, factor: number, xx: number, yy: number, xy: number): void {
  out[0] = -2 * factor * (xx + yy);
  out[1] = factor * xx;
  out[2] = factor * yy;
  out[3] = (factor * xy) / 4;
}
