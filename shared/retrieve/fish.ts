import { type DepthGrid, type DepthRange, METERS_PER } from '../contract/index.ts';

/** Standard deviation of the position of fish around their mark, m: a school has a size, and marks err. */
const NEAR_MARK = 12;
/** Standard deviation of the position of fish of stated depth, m: fish move along that depth; judgment. */
const NEAR_DEPTH = 25;
/**
 * Standard deviation of the depth of fish outside their stated depths, m: a third of a foot, because stated
 * depths are rounded.
 */
const DEPTH_EDGE = METERS_PER.ft / 3;
/** Maximum difference at which the depth at the mark agrees with a stated depth, m: 2 ft; judgment. */
const AGREES = 2 * METERS_PER.ft;
/** Number of standard deviations beyond which weights are 0. */
const FARTHEST = 3;

/** Where the fish of a mark are assumed to be. */
export type Fish = ReturnType<typeof fishAt>;

/**
 * Where the stated depth puts the fish: at the mark, on other ground within a cast (`moved`) or, with no
 * ground at that depth, above the ground at the mark (`off-bottom`) or below it (`below-bottom`). In the last
 * case, the mark's own depth is used instead. Without a stated depth, the fish are at the mark.
 */
type FishPlace = 'at-mark' | 'moved' | 'off-bottom' | 'below-bottom';

/**
 * Places the fish by the position of the mark and, if stated, their depth.
 *
 * @param band Depths of the fish, m; around the mark's depth when not `isStated`.
 * @param depth Ground at the mark, m.
 * @param reach Maximum distance of other ground from the mark, m.
 */
export function fishAt(grid: DepthGrid, band: DepthRange, isStated: boolean, depth: number, reach: number) {
  // One literal makes all fish, because the search is faster if all fish have the same properties.
  const fish = (
    place: FishPlace,
    { stated, suspended }: { readonly stated?: DepthRange; readonly suspended?: DepthRange },
    [east, north]: readonly [number, number] = [0, 0],
  ) => ({
    /** Center of the fish, m east of the mark. */
    east,
    /** Center of the fish, m north of the mark. */
    north,
    /** Standard deviation of the position of the fish around their center, m. */
    spread: stated === undefined ? NEAR_MARK : NEAR_DEPTH,
    /** Stated depths of the fish, m; absent if none are stated, and for `off-bottom` and `below-bottom`. */
    stated,
    /** Depths at which the fish are suspended over deeper ground, m; absent when they are on the bottom. */
    suspended,
    /** Depths for the lure to reach, m: as stated, else (also for `below-bottom`) around the mark's depth. */
    band: place === 'below-bottom' ? around(depth, (band.bottom - band.top) / 2) : band,
    /** Depths that the boat has to stay out of, m: `stated`, else the depth at the mark. */
    ground: stated ?? { top: depth, bottom: depth },
    place,
  });
  if (!isStated) return fish('at-mark', {});
  if (outside(band, depth) <= AGREES) return fish('at-mark', { stated: band });
  const center = nearestGround(grid, band, reach);
  if (center !== undefined) return fish('moved', { stated: band }, center);
  return band.bottom < depth ? fish('off-bottom', { suspended: band }) : fish('below-bottom', {});
}

const around = (depth: number, allowance: number): DepthRange => ({
  top: Math.max(depth - allowance, 0),
  bottom: depth + allowance,
});

/** Returns the greatest depth of the fish, m: `stated` or `suspended`, else the depth at the mark. */
export const deepestFish = ({ stated, suspended, ground }: Fish): number =>
  (stated ?? suspended ?? ground).bottom;

/**
 * Finds the nearest sounded ground with a depth in a band, m east and north of the mark.
 *
 * @param reach Upper limit of the distance from the mark, m.
 */
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

/** Returns the relative density of the fish, 0 to 1, at a distance from their center. @param distance m. */
export const placeWeight = ({ spread }: Pick<Fish, 'spread'>, distance: number): number =>
  normalWeight(distance / spread);

/**
 * Returns the relative density of the fish, 0 to 1, over ground of a given depth: 1 in stated depths, or if
 * none are stated.
 *
 * @param depth m.
 */
export const depthWeight = ({ stated }: Pick<Fish, 'stated'>, depth: number): number =>
  stated === undefined ? 1 : normalWeight(outside(stated, depth) / DEPTH_EDGE);

/** Five equally likely values of a standard normal deviate: the mean of each fifth. */
const FIFTHS = [-1.4, -0.532, 0, 0.532, 1.4];

/** Returns the mean of `depthWeight` over possible depths. @param sd Standard deviation of the depth, m. */
export function expectedWeight(fish: Pick<Fish, 'stated'>, depth: number, sd: number): number {
  if (fish.stated === undefined) return 1;
  const { top, bottom } = fish.stated;
  const [least, most] = [depth + FIFTHS[0] * sd, depth + FIFTHS[FIFTHS.length - 1] * sd];
  if (least >= top && most <= bottom) return 1;
  const far = FARTHEST * DEPTH_EDGE;
  if (most < top - far || least > bottom + far) return 0;
  let sum = 0;
  for (const z of FIFTHS) sum += depthWeight(fish, depth + z * sd);
  return sum / FIFTHS.length;
}

const normalWeight = (z: number): number => (z === 0 ? 1 : z > FARTHEST ? 0 : Math.exp(-0.5 * z * z));
