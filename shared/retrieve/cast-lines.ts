import type { DepthGrid } from '../contract/index.ts';
import { bilinear } from '../math/index.ts';
import { expectedWeight, type Fish } from './fish.ts';

/** Modeled bottom and density of the fish at each meter of a straight line past the fish. */
export type CastLine = ReturnType<typeof emptyLine>;

/** Distance from a node within which a point counts as on the node, in cells. */
const ON_NODE = 1e-6;

/**
 * Samples the modeled bottom and the density of the fish along a line that passes the fish.
 *
 * @param bearing Direction in which casts on the line go, deg true, [0, 360).
 * @param offset Distance by which the line passes to the right of the fish, looking along the bearing, m.
 * @param near Relative density of the fish, 0 to 1, at each meter of the line, from the distance to their
 * center alone. The middle entry is for the point nearest the fish.
 */
export function sampleLine(
  { size, cellSize, depth, sd, supported }: DepthGrid,
  fish: Fish,
  bearing: number,
  offset: number,
  near: Float64Array,
): CastLine {
  const line = emptyLine(bearing, offset, [fish.east, fish.north], near);
  const lattice = { columns: size, rows: size };
  const [east, north] = placeOn(line, 0);
  for (let i = 0; i < near.length; i++) {
    const x = (size - 1) / 2 + (east + i * line.direction[0]) / cellSize;
    const y = (size - 1) / 2 + (north + i * line.direction[1]) / cellSize;
    const here = bilinear(lattice, depth, x, y);
    line.depth[i] = here;
    line.fish[i + 1] = line.fish[i];
    if (Number.isNaN(here)) continue;
    line.sd[i] = bilinear(lattice, sd, x, y);
    // Nodes without weight do not count: rounding must not decide whether a point on a node is supported.
    const left = Math.floor(x + ON_NODE);
    const right = Math.ceil(x - ON_NODE);
    const lower = size * Math.floor(y + ON_NODE);
    const upper = size * Math.ceil(y - ON_NODE);
    line.supported[i] =
      supported[lower + left] & supported[lower + right] & supported[upper + left] & supported[upper + right];
    if (near[i] > 0) line.fish[i + 1] += near[i] * expectedWeight(fish, here, line.sd[i]);
  }
  return line;
}

/** Returns the line over the same points for casts in the opposite direction. */
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

/** @param origin Center of the fish, m east and north of the mark. */
function emptyLine(bearing: number, offset: number, origin: readonly [number, number], near: Float64Array) {
  const rad = (bearing * Math.PI) / 180;
  const count = near.length;
  // The arrays of a line share one buffer, because allocating a buffer costs more than filling it.
  const buffer = new ArrayBuffer(8 * (3 * count + 1) + count);
  return {
    bearing,
    offset,
    origin,
    near,
    /** Unit vector along the bearing, east and north. */
    direction: [Math.sin(rad), Math.cos(rad)] as const,
    /** Index of the point nearest the fish. */
    middle: (count - 1) / 2,
    /** Modeled depth, m; NaN outside the modeled bottom. */
    depth: new Float64Array(buffer, 0, count),
    /** Standard deviation of the depth, m. */
    sd: new Float64Array(buffer, 8 * count, count),
    /** 1 over sounded bottom, else 0. */
    supported: new Uint8Array(buffer, 8 * (3 * count + 1), count),
    /** Running sum of the expected fish density, 0 to 1 per meter: entry i covers meters 0 to i - 1. */
    fish: new Float64Array(buffer, 16 * count, count + 1),
  };
}

/**
 * Returns a point of a line, m east and north of the mark.
 *
 * @param at Index in the line's arrays; may be fractional.
 */
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
