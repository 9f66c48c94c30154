import type { DepthGrid } from '../bottom/model.ts';
import { depthWeight, type Fish, placeWeight } from './fish.ts';

/** Bottom along one straight line past the fish, at whole meters. */
export interface CastLine {
  /** Direction in which casts on this line go, deg true, [0, 360). */
  readonly bearing: number;
  /** m by which the line passes right of the fish, seen along the bearing. */
  readonly offset: number;
  /** East and north of one meter along the bearing. */
  readonly direction: readonly [east: number, north: number];
  /** Middle of the fish, m east and north of the mark. */
  readonly origin: readonly [east: number, north: number];
  /** Place of the point nearest the fish in the arrays. */
  readonly middle: number;
  /** m; NaN outside the modeled bottom. */
  readonly depth: Float64Array;
  readonly sd: Float64Array;
  /** 1 over sounded bottom. */
  readonly supported: Uint8Array;
  /** Density of the fish by place alone, 0 to 1. */
  readonly near: Float64Array;
  /** Density of the fish on the bottom, 0 to 1, summed from the start of the line up to each place. */
  readonly fish: Float64Array;
}

/**
 * Samples the modeled bottom along a line that passes the fish.
 *
 * @param half m to both sides of the point nearest the mark.
 */
export function sampleLine(
  grid: DepthGrid,
  fish: Fish,
  bearing: number,
  offset: number,
  half: number,
): CastLine {
  const rad = (bearing * Math.PI) / 180;
  const east = Math.sin(rad);
  const north = Math.cos(rad);
  const middle = Math.ceil(half);
  const count = 2 * middle + 1;
  const line = {
    bearing,
    offset,
    direction: [east, north] as const,
    origin: [fish.east, fish.north] as const,
    middle,
    depth: new Float64Array(count),
    sd: new Float64Array(count),
    supported: new Uint8Array(count),
    near: new Float64Array(count),
    fish: new Float64Array(count + 1),
  };
  const { size, cellSize, depth, sd, supported } = grid;
  const center = (size - 1) / 2;
  // One loop, bilinear by hand: it runs for thousands of points a waypoint.
  for (let i = 0; i < count; i++) {
    const along = i - middle;
    const column = center + (fish.east + along * east + offset * north) / cellSize;
    const row = center + (fish.north + along * north - offset * east) / cellSize;
    const c = Math.floor(column);
    const r = Math.floor(row);
    line.near[i] = placeWeight(fish, Math.hypot(along, offset));
    line.fish[i + 1] = line.fish[i];
    if (c < 0 || r < 0 || c >= size - 1 || r >= size - 1) {
      line.depth[i] = Number.NaN;
      continue;
    }
    const a = r * size + c;
    const b = a + size;
    const x = column - c;
    const y = row - r;
    line.depth[i] =
      (1 - y) * (depth[a] + x * (depth[a + 1] - depth[a])) + y * (depth[b] + x * (depth[b + 1] - depth[b]));
    line.sd[i] = (1 - y) * (sd[a] + x * (sd[a + 1] - sd[a])) + y * (sd[b] + x * (sd[b + 1] - sd[b]));
    if (line.near[i] > 0 && !Number.isNaN(line.depth[i]))
      line.fish[i + 1] += line.near[i] * depthWeight(fish, line.depth[i]);
    const isSounded = supported[a] & supported[a + 1] & supported[b] & supported[b + 1];
    line.supported[i] = Number.isNaN(line.depth[i]) ? 0 : isSounded;
  }
  return line;
}

/** East and north of a place on a line, m from the mark. @param at Place in its arrays; may lie between two. */
export function placeOn(
  { direction, origin, middle, offset }: CastLine,
  at: number,
): [east: number, north: number] {
  const along = at - middle;
  const [east, north] = direction;
  return [origin[0] + along * east + offset * north, origin[1] + along * north - offset * east];
}
