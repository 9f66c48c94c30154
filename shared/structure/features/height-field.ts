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
const PLANE_RADIUS = 100;

/** Prepares the heights. @param depth Lattice of depths, m, positive down. */
export function makeHeightField(depth: Float64Array): HeightField {
  const raw = depth.map((d) => -d);
  const smooth = smoothOnce(raw);
  const tilt = planeTilt(raw);
  const level = new Float64Array(raw.length);
  let most = Number.NEGATIVE_INFINITY;
  let least = Number.POSITIVE_INFINITY;
  forEachNode((node, east, north) => {
    const plane = tilt[0] * east + tilt[1] * north;
    level[node] = raw[node] - plane;
    if (east * east + north * north > PLANE_RADIUS ** 2) return;
    most = Math.max(most, smooth[node] - plane);
    least = Math.min(least, smooth[node] - plane);
  });
  return { raw, smooth, level, relief: most - least, tilt, mark: latticeAt(smooth, 0, 0) };
}

export function forEachNode(visit: (node: number, east: number, north: number) => void): void {
  for (let row = 0, node = 0; row < GRID_SIZE; row++) {
    for (let column = 0; column < GRID_SIZE; column++, node++) {
      visit(node, (column - HALF) * CELL_SIZE, (row - HALF) * CELL_SIZE);
    }
  }
}

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
  for (let c = 0; c < n; c++) {
    out[c] = (2 * half[c] + half[c + n]) / 3;
    for (let r = n + c; r < n * (n - 1); r += n) out[r] = (half[r - n] + 2 * half[r] + half[r + n]) / 4;
    const last = n * (n - 1) + c;
    out[last] = (2 * half[last] + half[last - n]) / 3;
  }
  return out;
}

/** Rise per meter east and north of the least-squares plane. The nodes are symmetric about the middle, so sums suffice. */
function planeTilt(grid: Float64Array): [number, number] {
  let squares = 0;
  let east = 0;
  let north = 0;
  forEachNode((node, e, n) => {
    if (e * e + n * n > PLANE_RADIUS ** 2) return;
    squares += e * e;
    east += e * grid[node];
    north += n * grid[node];
  });
  return [east / squares, north / squares];
}

/** Maps x smoothly to -1..1: odd, linear near 0, and one half where x equals the scale. */
export const squash = (x: number, scale: number): number => x / (scale + Math.abs(x));
export const clip = (x: number, least: number, most: number): number => Math.max(least, Math.min(most, x));
export const toDegrees = (gradient: number): number => (Math.atan(gradient) * 180) / Math.PI;
