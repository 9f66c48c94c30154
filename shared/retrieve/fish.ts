import { type DepthGrid, type DepthRange, METERS_PER } from '../contract/index.ts';

/** Distance of fish from their mark, m (standard deviation): the radius of a school and the error of a mark. */
const NEAR_MARK = 12;
/** Distance of fish from their mark where their depth is known, m: they follow that depth along structure. */
const NEAR_DEPTH = 25;
/** Fish stray from a stated depth by about this, m (standard deviation): a third of a foot, the rounding of such depths. */
const DEPTH_EDGE = METERS_PER.ft / 3;
/** The depth at the mark agrees with a stated depth when they differ by no more than this, m: 2 ft. */
const AGREES = 2 * METERS_PER.ft;
/** Weights are 0 beyond this many standard deviations. */
const FARTHEST = 3;

/** Where the fish of a mark are assumed to be. */
export type Fish = ReturnType<typeof fishAt>;

/**
 * Where the stated depth puts the fish: at the mark; on other ground within a cast; above all ground within a cast
 * (suspended); or below all of that ground, in which case only the mark's position counts.
 */
type FishPlace = 'at-mark' | 'moved' | 'off-bottom' | 'below-bottom';

/**
 * Where the fish are, from the position of the mark and, if stated, their depth.
 *
 * @param band Depths of the fish, m; about the mark's depth when not `isStated`.
 * @param depth Ground at the mark, m.
 * @param reach Greatest distance of other ground from the mark, m.
 */
export function fishAt(grid: DepthGrid, band: DepthRange, isStated: boolean, depth: number, reach: number) {
  // One literal for all fish, because the search runs faster when they all have the same properties.
  const fish = (
    place: FishPlace,
    { stated, suspended }: { readonly stated?: DepthRange; readonly suspended?: DepthRange },
    [east, north]: readonly [number, number] = [0, 0],
  ) => ({
    /** East coordinate of the center of the fish, m from the mark. */
    east,
    /** North coordinate of the center of the fish, m from the mark. */
    north,
    /** Standard deviation of the position of the fish around their center, m. */
    spread: stated === undefined ? NEAR_MARK : NEAR_DEPTH,
    /** Stated depths of the fish, m, where ground at those depths is found; else absent. */
    stated,
    /** Depths at which the fish are suspended over deeper ground, m; absent when they are on the bottom. */
    suspended,
    /** Depths that the lure has to reach, m: as stated, else around the depth at the mark. */
    band: place === 'below-bottom' ? around(depth, (band.bottom - band.top) / 2) : band,
    /** Depths that the boat sits deeper or shallower than, m: as stated, else the depth at the mark. */
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

/** Greatest depth that the fish are known at, m: as stated, else the ground at the mark. */
export const deepestFish = ({ stated, suspended, ground }: Fish): number =>
  (stated ?? suspended ?? ground).bottom;

/** The place nearest the mark with sounded ground in a depth band, m east and north of the mark. */
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

/** Relative density of the fish at a distance from their center, 1 at the center. @param distance m. */
export const placeWeight = ({ spread }: Pick<Fish, 'spread'>, distance: number): number =>
  normalWeight(distance / spread);

/** Relative density of the fish on ground of a given depth, m: 1 within the stated depths, or anywhere if none are stated. */
export const depthWeight = ({ stated }: Pick<Fish, 'stated'>, depth: number): number =>
  stated === undefined ? 1 : normalWeight(outside(stated, depth) / DEPTH_EDGE);

/** Five equally likely values of a standard normal deviate: the mean of each fifth. */
const FIFTHS = [-1.4, -0.532, 0, 0.532, 1.4];

/** Mean of `depthWeight` over possible depths of the ground. @param sd Standard deviation of depth, m. */
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
