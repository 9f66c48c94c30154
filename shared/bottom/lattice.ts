import { mean, range } from 'es-toolkit/math';
import { bilinear } from '../math/index.ts';

/** Number of nodes on a side of the grid around a waypoint; odd, so that one node lies on the waypoint. */
export const GRID_SIZE = 35;
/** Distance between nodes, m: the grid reaches 102 m each way. */
export const CELL_SIZE = 6;
/** Row and column of the node on the waypoint. */
export const HALF = (GRID_SIZE - 1) / 2;
const SIZES = { columns: GRID_SIZE, rows: GRID_SIZE };
/** Distance from the middle within which `fillLattice` computes every node, in nodes on each axis. */
const DENSE = 9;

/**
 * Fills a lattice, row-major from the southwest. The function `at` returns the value at a node from the
 * node's position, m from the waypoint, and index.
 *
 * Within 54 m of the waypoint on both axes, every node is computed; beyond, every second node each way. The
 * other nodes are means of their neighbors; this loses little, because most blocks there are 16 m or longer.
 */
export function fillLattice(at: (east: number, north: number, node: number) => number): Float64Array {
  const out = new Float64Array(GRID_SIZE * GRID_SIZE);
  for (let row = 0; row < GRID_SIZE; row++) {
    for (let column = 0; column < GRID_SIZE; column++) {
      if (isDense(row, column) || isCoarse(row, column)) {
        const node = row * GRID_SIZE + column;
        out[node] = at((column - HALF) * CELL_SIZE, (row - HALF) * CELL_SIZE, node);
      }
    }
  }
  fillBetween(out, isDense);
  return out;
}

/**
 * Fills a lattice: computes every second node each way, and sets the other nodes to means of their neighbors.
 *
 * @param at Returns the values at the computed nodes from their positions, m from the waypoint, and indices.
 */
export function fillCoarse(
  at: (east: Float64Array, north: Float64Array, node: Int32Array) => Float64Array,
): Float64Array {
  const nodes: number[] = [];
  for (let row = 0; row < GRID_SIZE; row += 2)
    for (let column = 0; column < GRID_SIZE; column += 2) nodes.push(row * GRID_SIZE + column);
  const east = Float64Array.from(nodes, (node) => ((node % GRID_SIZE) - HALF) * CELL_SIZE);
  const north = Float64Array.from(nodes, (node) => (Math.floor(node / GRID_SIZE) - HALF) * CELL_SIZE);
  const out = new Float64Array(GRID_SIZE * GRID_SIZE);
  at(east, north, Int32Array.from(nodes)).forEach((value, k) => {
    out[nodes[k]] = value;
  });
  fillBetween(out, () => false);
  return out;
}

const isDense = (row: number, column: number): boolean =>
  Math.abs(row - HALF) <= DENSE && Math.abs(column - HALF) <= DENSE;

const isCoarse = (row: number, column: number): boolean => row % 2 === 0 && column % 2 === 0;

/** Fills the nodes between coarse ones with the mean of the two or four coarse neighbors. */
function fillBetween(grid: Float64Array, isKnown: (row: number, column: number) => boolean): void {
  const n = GRID_SIZE;
  for (let row = 0; row < n; row++) {
    for (let column = 0; column < n; column++) {
      if (isCoarse(row, column) || isKnown(row, column)) continue;
      const node = row * n + column;
      const up = row % 2;
      const right = column % 2;
      const low = node - up * n - right;
      const high = node + up * n + right;
      grid[node] =
        up && right
          ? (grid[low] + grid[high] + grid[node - n + 1] + grid[node + n - 1]) / 4
          : (grid[low] + grid[high]) / 2;
    }
  }
}

/** Returns the length of a lattice's gradient at a node, per meter, from the nodes beside it. */
export function gradientAt(lattice: Float64Array, node: number): number {
  const change = (at: number, step: number): number => {
    const low = at > 0 ? node - step : node;
    const high = at < GRID_SIZE - 1 ? node + step : node;
    return (lattice[high] - lattice[low]) / (((high - low) / step) * CELL_SIZE);
  };
  const east = change(node % GRID_SIZE, 1);
  const north = change(Math.floor(node / GRID_SIZE), GRID_SIZE);
  // `Math.hypot` is too slow for every node.
  return Math.sqrt(east * east + north * north);
}

/**
 * Returns the value of a lattice at a place, m from the waypoint, by bilinear interpolation. A place beyond
 * the edge gets the nearest edge value.
 */
export function latticeAt(lattice: ArrayLike<number>, east: number, north: number): number {
  return bilinear(SIZES, lattice, inside(east / CELL_SIZE + HALF), inside(north / CELL_SIZE + HALF));
}

/** Returns the mean of a lattice at 16 places on a circle around the waypoint. @param distance Radius, m. */
export function ringMean(lattice: Float64Array, distance: number): number {
  const bearings = range(16).map((k) => (2 * Math.PI * k) / 16);
  return mean(bearings.map((b) => latticeAt(lattice, distance * Math.sin(b), distance * Math.cos(b))));
}

/**
 * Interpolates a lattice at any place by cubic convolution.
 *
 * Value and slope are continuous inside the lattice. A place beyond the edge gets the nearest edge value and
 * zero slope.
 * Source: Keys 1981, IEEE Trans. ASSP 29(6), a = -1/2.
 *
 * @param east, north Position of the place from the middle of the lattice, m.
 * @returns Value, change per meter east, change per meter north.
 */
export function cubicAt(lattice: Float64Array, east: number, north: number): [number, number, number] {
  const [columns, wx] = nodesAlong(east);
  const [rows, wy] = nodesAlong(north);
  let value = 0;
  let dx = 0;
  let dy = 0;
  for (let j = 0; j < 4; j++) {
    const row = rows[j] * GRID_SIZE;
    let line = 0;
    let change = 0;
    for (let i = 0; i < 4; i++) {
      const z = lattice[row + columns[i]];
      line += wx[i] * z;
      change += wx[4 + i] * z;
    }
    value += wy[j] * line;
    dx += wy[j] * change;
    dy += wy[4 + j] * line;
  }
  const inside = Math.abs(east) < HALF * CELL_SIZE && Math.abs(north) < HALF * CELL_SIZE;
  return inside ? [value, dx / CELL_SIZE, dy / CELL_SIZE] : [value, 0, 0];
}

const PADDED_SIZE = GRID_SIZE + 2;

/** Returns a lattice with its edge rows and columns repeated once on each side, for `CubicStencil`. */
export function padded(lattice: Float64Array): Float64Array {
  const out = new Float64Array(PADDED_SIZE ** 2);
  for (let row = 0, k = 0; row < PADDED_SIZE; row++)
    for (let column = 0; column < PADDED_SIZE; column++, k++)
      out[k] = lattice[inside(row - 1) * GRID_SIZE + inside(column - 1)];
  return out;
}

/**
 * Interpolates many lattices at the same places, by cubic convolution as in `cubicAt`. Computes nodes and
 * weights only once, because they depend on the places alone.
 */
export class CubicStencil {
  /** Index of the first of the 4 x 4 nodes around each place, in the padded lattice. */
  readonly #nodes: Int32Array;
  /** Weights of four columns, then of four rows, for each place. */
  readonly #weights: Float64Array;

  /** @param places East and north from the middle of the lattice, m. */
  constructor(places: readonly (readonly [east: number, north: number])[]) {
    const around = places.map((place) => place.map(nodeBefore));
    this.#nodes = Int32Array.from(around, ([[column], [row]]) => row * PADDED_SIZE + column);
    this.#weights = Float64Array.from(
      around.flatMap((axes) => axes.flatMap(([, share]) => cubicWeights(share).slice(0, 4))),
    );
  }

  /** Returns the values at the places. @param lattice As `padded` returns it. */
  valuesOf(lattice: Float64Array): Float64Array {
    const [nodes, weights] = [this.#nodes, this.#weights];
    const out = new Float64Array(nodes.length);
    for (let place = 0, w = 0; place < out.length; place++, w += 8) {
      const a = weights[w];
      const b = weights[w + 1];
      const c = weights[w + 2];
      const d = weights[w + 3];
      let sum = 0;
      for (let k = nodes[place], j = w + 4; j < w + 8; j++, k += PADDED_SIZE)
        sum += weights[j] * (a * lattice[k] + b * lattice[k + 1] + c * lattice[k + 2] + d * lattice[k + 3]);
      out[place] = sum;
    }
    return out;
  }
}

const inside = (node: number): number => Math.max(0, Math.min(GRID_SIZE - 1, node));

/**
 * Finds the column (or row) before a coordinate, and the share of the way to the next column (row).
 *
 * @param at Coordinate from the middle of the lattice, m; beyond the edge, the edge counts.
 */
function nodeBefore(at: number): readonly [node: number, share: number] {
  const x = inside(at / CELL_SIZE + HALF);
  const first = Math.min(GRID_SIZE - 2, Math.floor(x));
  return [first, x - first];
}

/** Finds the four columns (rows) around a coordinate, and their weights. @param at As in `nodeBefore`. */
function nodesAlong(at: number): readonly [nodes: readonly number[], weights: readonly number[]] {
  const [first, share] = nodeBefore(at);
  return [[inside(first - 1), first, first + 1, inside(first + 2)], cubicWeights(share)];
}

/**
 * Returns the weights of four nodes in a row, then the derivatives of the weights with respect to `t`.
 *
 * @param t Position between the second and the third node, 0 to 1.
 */
function cubicWeights(t: number): number[] {
  const t2 = t * t;
  const t3 = t2 * t;
  return [
    (-t3 + 2 * t2 - t) / 2,
    (3 * t3 - 5 * t2 + 2) / 2,
    (-3 * t3 + 4 * t2 + t) / 2,
    (t3 - t2) / 2,
    (-3 * t2 + 4 * t - 1) / 2,
    (9 * t2 - 10 * t) / 2,
    (-9 * t2 + 8 * t + 1) / 2,
    (3 * t2 - 2 * t) / 2,
  ];
}
