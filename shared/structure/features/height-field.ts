import { CELL_SIZE, GRID_SIZE, HALF, latticeAt } from '../../bottom/index.ts';

/** Heights on the grid around a mark, m, positive up, in the versions that the features use. */
export interface HeightField {
  /** As modeled; the zero is arbitrary. */
  readonly raw: Float64Array;
  /** `raw` smoothed with the neighboring nodes. */
  readonly smooth: Float64Array;
  /** `raw` less `tilt`. */
  readonly level: Float64Array;
  /** Range of `smooth` within 100 m of the mark after `tilt` is removed. */
  readonly relief: number;
  /** `[east, north]` rise of the least-squares plane through `raw` within 100 m of the mark, m/m. */
  readonly tilt: readonly [number, number];
  /** Smoothed height at the mark. */
  readonly mark: number;
}

/** Height of a step or rise that is barely more than noise, m: the scale of height features; judgment. */
export const SMALL_HEIGHT = 0.35;

/** Turns depths into heights. @param depth Lattice of depths, m, positive down. */
export function makeHeightField(depth: Float64Array): HeightField {
  // Plain loops over one buffer are several times faster than a callback for every node.
  const { buffer } = new Float64Array(3 * depth.length);
  const [raw, smooth, level] = [0, 1, 2].map(
    (k) => new Float64Array(buffer, 8 * k * depth.length, depth.length),
  );
  for (let node = 0; node < raw.length; node++) raw[node] = -depth[node];
  smoothOnce(raw, smooth);
  const tilt = WITHIN_PLANE.tiltOf(raw);
  const [east, north] = tilt;
  for (let node = 0; node < level.length; node++)
    level[node] = raw[node] - east * EAST[node] - north * NORTH[node];
  return {
    raw,
    smooth,
    level,
    relief: WITHIN_PLANE.reliefOf(smooth, tilt),
    tilt,
    mark: latticeAt(smooth, 0, 0),
  };
}

/** Distance of each node east of the mark, m. */
export const EAST = Float64Array.from(
  { length: GRID_SIZE ** 2 },
  (_, node) => ((node % GRID_SIZE) - HALF) * CELL_SIZE,
);
/** Distance of each node north of the mark, m. */
export const NORTH = EAST.map((_, node) => (Math.floor(node / GRID_SIZE) - HALF) * CELL_SIZE);

/** Returns the indices of the nodes within `radius` meters of the mark. */
export const nodesWithin = (radius: number): Int32Array =>
  Int32Array.from(EAST.keys()).filter((node) => EAST[node] ** 2 + NORTH[node] ** 2 <= radius ** 2);

type Tilt = readonly [east: number, north: number];

/** Measures the ground within a distance of the mark. */
export class Surroundings {
  readonly #nodes: Int32Array;
  readonly #squares: number;

  /** @param radius m. */
  constructor(radius: number) {
    this.#nodes = nodesWithin(radius);
    this.#squares = this.#nodes.reduce((sum, node) => sum + EAST[node] ** 2, 0);
  }

  /** Returns the tilt of the least-squares plane, m/m. Two sums suffice, because the nodes are symmetric. */
  tiltOf(heights: Float64Array): Tilt {
    let east = 0;
    let north = 0;
    const nodes = this.#nodes;
    for (let k = 0; k < nodes.length; k++) {
      const node = nodes[k];
      east += EAST[node] * heights[node];
      north += NORTH[node] * heights[node];
    }
    return [east / this.#squares, north / this.#squares];
  }

  /** Returns the range of the heights after a tilt is removed, m. */
  reliefOf(heights: Float64Array, [east, north]: Tilt): number {
    let most = Number.NEGATIVE_INFINITY;
    let least = Number.POSITIVE_INFINITY;
    const nodes = this.#nodes;
    for (let k = 0; k < nodes.length; k++) {
      const node = nodes[k];
      const height = heights[node] - east * EAST[node] - north * NORTH[node];
      if (height > most) most = height;
      if (height < least) least = height;
    }
    return most - least;
  }
}

const WITHIN_PLANE = new Surroundings(100);

const ALONG_ROWS = new Float64Array(GRID_SIZE ** 2);

/** Smooths with weights 1 2 1 along rows and columns, and with 2 1 at the border. */
function smoothOnce(grid: Float64Array, out: Float64Array): void {
  const n = GRID_SIZE;
  const half = ALONG_ROWS;
  for (let row = 0; row < n; row++) {
    const r = row * n;
    half[r] = (2 * grid[r] + grid[r + 1]) / 3;
    for (let k = r + 1; k < r + n - 1; k++) half[k] = (grid[k - 1] + 2 * grid[k] + grid[k + 1]) / 4;
    half[r + n - 1] = (2 * grid[r + n - 1] + grid[r + n - 2]) / 3;
  }
  const last = n * (n - 1);
  for (let c = 0; c < n; c++) {
    out[c] = (2 * half[c] + half[c + n]) / 3;
    out[last + c] = (2 * half[last + c] + half[last + c - n]) / 3;
  }
  for (let k = n; k < last; k++) out[k] = (half[k - n] + 2 * half[k] + half[k + n]) / 4;
}

/** Maps x smoothly to (-1, 1): linear near 0, and one half where x equals `scale`, which is above 0. */
export const squash = (x: number, scale: number): number => x / (scale + Math.abs(x));
export const clip = (x: number, least: number, most: number): number => Math.max(least, Math.min(most, x));
export const toDegrees = (gradient: number): number => (Math.atan(gradient) * 180) / Math.PI;
