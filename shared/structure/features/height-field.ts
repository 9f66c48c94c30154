import { CELL_SIZE, GRID_SIZE, HALF, latticeAt } from '../../bottom/index.ts';

/** Heights on the grid around a waypoint in the forms that the features use, m, positive up. */
export interface HeightField {
  /** As modeled; the zero is arbitrary. */
  readonly raw: Float64Array;
  /** Smoothed over one cell. */
  readonly smooth: Float64Array;
  /** As modeled, less the tilt of the plane through the nodes within 100 m. */
  readonly level: Float64Array;
  /** Range of the smoothed heights less the same tilt, within 100 m. */
  readonly relief: number;
  /** `[east, north]` rise of the plane, m/m. */
  readonly tilt: readonly [number, number];
  /** Smoothed height at the waypoint. */
  readonly mark: number;
}

/** Scale above which a height counts as a step or a rise rather than noise, m. */
export const SMALL_HEIGHT = 0.35;

/** Prepares the heights. @param depth Lattice of depths, m, positive down. */
export function makeHeightField(depth: Float64Array): HeightField {
  // Loops, because a function called for every node of every mark takes several times as long.
  const raw = new Float64Array(depth.length);
  for (let node = 0; node < raw.length; node++) raw[node] = -depth[node];
  const smooth = smoothOnce(raw);
  const tilt = WITHIN_PLANE.tiltOf(raw);
  const level = new Float64Array(depth.length);
  for (let node = 0; node < level.length; node++)
    level[node] = raw[node] - tilt[0] * EAST[node] - tilt[1] * NORTH[node];
  return {
    raw,
    smooth,
    level,
    relief: WITHIN_PLANE.reliefOf(smooth, tilt),
    tilt,
    mark: latticeAt(smooth, 0, 0),
  };
}

/** Place of each node from the mark, m. */
export const EAST = Float64Array.from(
  { length: GRID_SIZE ** 2 },
  (_, node) => ((node % GRID_SIZE) - HALF) * CELL_SIZE,
);
export const NORTH = EAST.map((_, node) => (Math.floor(node / GRID_SIZE) - HALF) * CELL_SIZE);

/** Rise per meter, east and north. */
type Tilt = readonly [east: number, north: number];

/** The ground within some distance of the mark. */
export class Surroundings {
  readonly #nodes: Int32Array;
  readonly #squares: number;

  /** @param radius m. */
  constructor(radius: number) {
    this.#nodes = Int32Array.from(EAST.keys()).filter(
      (node) => EAST[node] ** 2 + NORTH[node] ** 2 <= radius ** 2,
    );
    this.#squares = this.#nodes.reduce((sum, node) => sum + EAST[node] ** 2, 0);
  }

  /** Tilt of the least-squares plane. The nodes are symmetric about the middle, so sums suffice. */
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

  /** Range of the heights less a tilt, m. */
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

/** Smooths with weights 1 2 1 both ways; at the border, with the weights of the nodes inside. */
function smoothOnce(grid: Float64Array): Float64Array {
  const n = GRID_SIZE;
  const half = new Float64Array(n * n);
  const out = new Float64Array(n * n);
  for (let row = 0; row < n; row++) {
    const r = row * n;
    half[r] = (2 * grid[r] + grid[r + 1]) / 3;
    for (let c = 1; c < n - 1; c++) half[r + c] = (grid[r + c - 1] + 2 * grid[r + c] + grid[r + c + 1]) / 4;
    half[r + n - 1] = (2 * grid[r + n - 1] + grid[r + n - 2]) / 3;
  }
  const last = n * (n - 1);
  for (let c = 0; c < n; c++) {
    out[c] = (2 * half[c] + half[c + n]) / 3;
    out[last + c] = (2 * half[last + c] + half[last + c - n]) / 3;
  }
  for (let k = n; k < last; k++) out[k] = (half[k - n] + 2 * half[k] + half[k + n]) / 4;
  return out;
}

/** Maps x smoothly to -1..1: odd, linear near 0, and one half where x equals the scale. */
export const squash = (x: number, scale: number): number => x / (scale + Math.abs(x));
export const clip = (x: number, least: number, most: number): number => Math.max(least, Math.min(most, x));
export const toDegrees = (gradient: number): number => (Math.atan(gradient) * 180) / Math.PI;
