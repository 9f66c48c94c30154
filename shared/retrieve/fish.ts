import type { DepthGrid } from '../bottom/model.ts';
import type { DepthRange } from '../contract/options.ts';
import { METERS_PER } from '../geo/units.ts';

/** Fish of a mark are about this far from it, m (standard deviation): a school's radius and a mark's own error. */
export const NEAR_MARK = 12;
/** The same where the depth of the fish is known as well: they follow that depth along the structure. */
const NEAR_DEPTH = 25;
/** Fish leave a stated depth by about this, m (standard deviation): a third of a foot, what such a depth is rounded to. */
const DEPTH_EDGE = METERS_PER.ft / 3;
/** Nearer the stated depth than this the mark's ground agrees with it, m: 2 ft. */
const AGREES = 2 * METERS_PER.ft;
/** Weights farther out than this many standard deviations are none. */
const FARTHEST = 3;

/** Where the fish of a mark are taken to be. */
export interface Fish {
  /** Middle of them, m from the mark: the mark, or the nearest ground at the depth stated. */
  readonly east: number;
  readonly north: number;
  /** Standard deviation of their distance from it, m. */
  readonly spread: number;
  /** Depths that the person stated; absent when only the place is known. */
  readonly stated?: DepthRange;
  /** Depths that boats keep clear of and lures have to reach, m: as stated, else about the ground at the mark. */
  readonly band: DepthRange;
  /** Depth of the fish to keep the boat below and above, m: as stated, else the ground at the mark. */
  readonly ground: DepthRange;
  /** How the depth stated and the mark go together. */
  readonly place: 'at-mark' | 'moved' | 'off-bottom';
}

/**
 * Where the fish are, by the mark's place and, if stated, their depth.
 *
 * Where the ground at the mark is not at the depth stated, they are on the nearest ground that is.
 *
 * @param band About the mark's depth when `isStated` is false. @param reach How far off such ground may be, m.
 */
export function fishAt(
  grid: DepthGrid,
  band: DepthRange,
  isStated: boolean,
  ground: number,
  reach: number,
): Fish {
  if (!isStated)
    return {
      east: 0,
      north: 0,
      spread: NEAR_MARK,
      band,
      ground: { top: ground, bottom: ground },
      place: 'at-mark',
    };
  const fish = { east: 0, north: 0, spread: NEAR_DEPTH, stated: band, band, ground: band };
  if (outside(band, ground) <= AGREES) return { ...fish, place: 'at-mark' };
  const nearest = nearestGround(grid, band, reach);
  if (nearest === undefined) return { ...fish, place: 'off-bottom' };
  return { ...fish, east: nearest[0], north: nearest[1], place: 'moved' };
}

/** Sounded ground inside a band nearest the mark, m east and north of it. */
function nearestGround(
  { size, cellSize, depth, supported }: DepthGrid,
  band: DepthRange,
  reach: number,
): [east: number, north: number] | undefined {
  const half = (size - 1) / 2;
  let nearest: [number, number] | undefined;
  let least = reach;
  for (let node = 0; node < depth.length; node++) {
    if (supported[node] === 0 || !(outside(band, depth[node]) === 0)) continue;
    const east = ((node % size) - half) * cellSize;
    const north = (Math.floor(node / size) - half) * cellSize;
    const far = Math.hypot(east, north);
    if (far >= least) continue;
    least = far;
    nearest = [east, north];
  }
  return nearest;
}

const outside = ({ top, bottom }: DepthRange, depth: number): number =>
  Math.max(top - depth, depth - bottom, 0);

/** Share of the fish at a distance from their middle, 1 there. @param distance m. */
export function placeWeight({ spread }: Pick<Fish, 'spread'>, distance: number): number {
  const z = distance / spread;
  return z > FARTHEST ? 0 : Math.exp(-0.5 * z * z);
}

/** Share of the fish that are on ground of a depth, 1 inside the depths stated and where none are. */
export function depthWeight({ stated }: Pick<Fish, 'stated'>, depth: number): number {
  if (stated === undefined) return 1;
  const z = outside(stated, depth) / DEPTH_EDGE;
  return z === 0 ? 1 : z > FARTHEST ? 0 : Math.exp(-0.5 * z * z);
}
