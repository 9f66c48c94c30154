import type { DepthGrid } from '../contract/index.ts';
import { expectedWeight, type Fish } from './fish.ts';

/** Bottom along one straight line past the fish, at whole meters. */
export interface CastLine {
  /** Direction in which casts on this line go, deg true, [0, 360). */
  readonly bearing: number;
  /** Distance by which the line passes to the right of the fish, looking along the bearing, m. */
  readonly offset: number;
  /** East and north of one meter along the bearing. */
  readonly direction: readonly [east: number, north: number];
  /** Center of the fish, m east and north of the mark. */
  readonly origin: readonly [east: number, north: number];
  /** Index of the point nearest the fish. */
  readonly middle: number;
  /** m; NaN outside the modeled bottom. */
  readonly depth: Float64Array;
  readonly sd: Float64Array;
  /** 1 over sounded bottom. */
  readonly supported: Uint8Array;
  /** Density of the fish by place alone, 0 to 1. */
  readonly near: Float64Array;
  /** Expected density of the fish on the bottom, 0 to 1, summed from the start of the line up to each place. */
  readonly fish: Float64Array;
}

/** A place this close to a node counts as on it, in cells. */
const ON_NODE = 1e-6;

/**
 * Samples the modeled bottom along a line that passes the fish.
 *
 * @param near Density of the fish by place at each meter of the line; the middle element is the point nearest the fish.
 */
export function sampleLine(
  grid: DepthGrid,
  fish: Fish,
  bearing: number,
  offset: number,
  near: Float64Array,
): CastLine {
  const line = emptyLine(bearing, offset, [fish.east, fish.north], near);
  const { middle, depth: depths, sd: sds, supported: isSounded } = line;
  const [east, north] = line.direction;
  const count = near.length;
  const { size, cellSize, depth, sd, supported } = grid;
  const center = (size - 1) / 2;
  const column0 = center + (fish.east + offset * north) / cellSize;
  const row0 = center + (fish.north - offset * east) / cellSize;
  // One loop with its own bilinear interpolation, because it runs for thousands of points per waypoint.
  for (let i = 0; i < count; i++) {
    const along = (i - middle) / cellSize;
    const column = column0 + along * east;
    const row = row0 + along * north;
    const c = Math.floor(column);
    const r = Math.floor(row);
    if (c < 0 || r < 0 || c >= size - 1 || r >= size - 1) {
      depths[i] = Number.NaN;
      continue;
    }
    const a = r * size + c;
    const b = a + size;
    const x = column - c;
    const y = row - r;
    const here =
      (1 - y) * (depth[a] + x * (depth[a + 1] - depth[a])) + y * (depth[b] + x * (depth[b + 1] - depth[b]));
    const hereSd = (1 - y) * (sd[a] + x * (sd[a + 1] - sd[a])) + y * (sd[b] + x * (sd[b + 1] - sd[b]));
    depths[i] = here;
    sds[i] = hereSd;
    if (Number.isNaN(here)) continue;
    // Only nodes with weight count, so that a place on a node gets the same answer on every line.
    const left = x < 1 - ON_NODE;
    const right = x > ON_NODE;
    const lower = y < 1 - ON_NODE;
    const upper = y > ON_NODE;
    isSounded[i] =
      (left && lower && supported[a] === 0) ||
      (right && lower && supported[a + 1] === 0) ||
      (left && upper && supported[b] === 0) ||
      (right && upper && supported[b + 1] === 0)
        ? 0
        : 1;
  }
  sumFish(line.fish, fish, near, depths, sds);
  return line;
}

/** The same places for casts the other way. */
export function turned({ bearing, offset, origin, near, depth, sd, supported, fish }: CastLine): CastLine {
  const line = emptyLine((bearing + 180) % 360, -offset, origin, near);
  const count = near.length;
  for (let i = 0, from = count - 1; i < count; i++, from--) {
    line.depth[i] = depth[from];
    line.sd[i] = sd[from];
    line.supported[i] = supported[from];
    line.fish[i + 1] = fish[count] - fish[from];
  }
  return line;
}

function emptyLine(
  bearing: number,
  offset: number,
  origin: CastLine['origin'],
  near: Float64Array,
): CastLine {
  const rad = (bearing * Math.PI) / 180;
  const count = near.length;
  // One buffer for a line, because each costs more than its values.
  const buffer = new ArrayBuffer(8 * (3 * count + 1) + count);
  return {
    bearing,
    offset,
    direction: [Math.sin(rad), Math.cos(rad)],
    origin,
    middle: (count - 1) / 2,
    depth: new Float64Array(buffer, 0, count),
    sd: new Float64Array(buffer, 8 * count, count),
    supported: new Uint8Array(buffer, 8 * (3 * count + 1), count),
    near,
    fish: new Float64Array(buffer, 16 * count, count + 1),
  };
}

/** Sums the expected density of the fish from the start of a line up to each place. */
function sumFish(
  sums: Float64Array,
  fish: Fish,
  near: Float64Array,
  depth: Float64Array,
  sd: Float64Array,
): void {
  for (let i = 0; i < near.length; i++) {
    const isIn = near[i] > 0 && !Number.isNaN(depth[i]);
    sums[i + 1] = sums[i] + (isIn ? near[i] * expectedWeight(fish, depth[i], sd[i]) : 0);
  }
}

/** East and north of a place on a line, m from the mark. @param at Index in the line's arrays; may be fractional. */
export function placeOn(
  { direction, origin, middle, offset }: CastLine,
  at: number,
): [east: number, north: number] {
  const along = at - middle;
  return [
    origin[0] + along * direction[0] + offset * direction[1],
    origin[1] + along * direction[1] - offset * direction[0],
  ];
}
