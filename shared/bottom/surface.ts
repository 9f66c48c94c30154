import type { CellMeans } from '../contract/index.ts';
import { medianOf } from '../math/index.ts';
import { type Blocks, findRuns, makeBlocks } from './blocks.ts';
import { mergeCells } from './cells.ts';
import { ONE_SIDED_TILT, TILT } from './covariance.ts';
import { CLOSE_SPACING, findCovariance, type SearchAssumptions } from './covariance-search.ts';
import { thinCrowded } from './crowded.ts';
import { GaussianProcess, type Posterior } from './gaussian-process.ts';
import type { LocalSoundings } from './local-rows.ts';
import { makeObservations, type Observations, withGradient } from './observations.ts';
import { withoutOutlyingLeg } from './outlying-leg.ts';
import { trackSpacing } from './pass-spacing.ts';
import { slopeChangeRoughness } from './roughness.ts';
import { chooseStrength, makeShapeCoordinate, type ShapeCoordinate, withShape } from './shape-coordinate.ts';

/** Soundings farther than this from the waypoint are not used, m. */
export const SURFACE_RADIUS = 118;
/** Within this distance of the waypoint, blocks are short, m. */
const NEAR_RADIUS = 55;
/** Least length of a block near the waypoint, and beyond, m of track. */
const NEAR_BLOCK = 5;
const FAR_BLOCK = 16;
/** Pass spacing below which blocks grow longer, m. */
const CROWDED_SPACING = 14;
/** Longest block near the waypoint, m. */
const LONGEST_BLOCK = 12;
/** Blocks per pass spacing, near the waypoint. */
const BLOCKS_PER_SPACING = 6;
/** Fewest blocks with which a surface can be fitted. */
const MIN_BLOCKS = 6;

/** Block means around a waypoint and the distance between the passes they come from. */
export interface BlockedSoundings {
  readonly blocks: Blocks;
  /** m. */
  readonly passSpacing: number;
  /** Soundings behind all rows. */
  readonly soundings: number;
  /** Roughness of the ground around the waypoint, 0 to 1 (`roughness.ts`). */
  readonly bend: number;
}

/** Block means of the soundings around the origin, spikes left out. @param reach Distance to which they reach, m. */
export function blockSoundings(soundings: LocalSoundings, reach = SURFACE_RADIUS): BlockedSoundings {
  const runs = findRuns(soundings);
  const passSpacing = trackSpacing(soundings, runs, reach);
  const near = nearBlock(passSpacing, CROWDED_SPACING);
  const thin = nearBlock(passSpacing, CLOSE_SPACING);
  const far = Math.max(FAR_BLOCK, thin);
  const blocks = makeBlocks(soundings, runs, { near, thin, far }, NEAR_RADIUS);
  return { passSpacing, soundings: countSoundings(soundings), blocks, bend: slopeChangeRoughness(blocks) };
}

/** Soundings behind the rows. */
function countSoundings({ count, weight }: LocalSoundings): number {
  if (weight === undefined) return count;
  let sum = 0;
  for (let i = 0; i < count; i++) sum += weight[i];
  return Math.round(sum);
}

/** The lake's cells in place of blocks, for places where passes crowd. @param reach Distance to which they reach, m. */
export const blockCells = (cells: CellMeans, lat: number, lon: number, reach: number): BlockedSoundings => ({
  ...mergeCells(cells, lat, lon, reach),
  bend: 0,
});

/**
 * Length of a block near the waypoint, m of track.
 *
 * Where passes crowd, blocks grow up to 12 m, so that the nearest ones still reach as far and average out the sonar's
 * noise. Elsewhere they stay short, because a longer block smooths the ground, unless soundings are so sparse that a
 * short block would hold only one.
 *
 * @param crowdedSpacing Pass spacing below which blocks grow, m.
 */
function nearBlock(passSpacing: number, crowdedSpacing: number): number {
  const crowded = NEAR_BLOCK * (crowdedSpacing / passSpacing) ** 2;
  return Math.max(NEAR_BLOCK, Math.min(LONGEST_BLOCK, Math.max(passSpacing / BLOCKS_PER_SPACING, crowded)));
}

/** The bottom around a waypoint as fitted; places are east and north meters from the waypoint. */
export interface Surface {
  /** The final fit; needs the shape coordinate of a place. */
  readonly process: GaussianProcess;
  readonly coordinate: ShapeCoordinate;
}

/** Assumptions where soundings surround the waypoint, and where they lie on a line or on one side of it. */
const SURROUNDED: SearchAssumptions = { tilt: TILT, hasDirection: true };
const ONE_SIDED: SearchAssumptions = { tilt: ONE_SIDED_TILT, hasDirection: false };

/**
 * Fits the bottom around the origin.
 *
 * Steps: a search for the covariance; a first fit, which gives the bottom's gradient at every block (so that the effect of
 * a position offset is known) and the shape coordinate; a second fit with both, with the strength of the coordinate that
 * makes the depths near the waypoint likeliest.
 *
 * @param isOneSided Soundings lie on a line or on one side: no direction is read from them, and the surface is kept close
 * to level beyond them.
 * @returns undefined with fewer than 6 blocks, or when they do not determine a surface.
 */
export function fitSurface(
  { blocks: all, passSpacing }: Pick<BlockedSoundings, 'blocks' | 'passSpacing'>,
  isOneSided = false,
): Surface | undefined {
  if (all.count < MIN_BLOCKS) return undefined;
  const blocks = thinCrowded(all, NEAR_RADIUS);
  const first = fitRobustly(makeObservations(blocks), passSpacing, isOneSided ? ONE_SIDED : SURROUNDED);
  if (first === undefined) return undefined;
  const { east, north } = first.gradientsAtObservations();
  const observations = withGradient(first.observations, east, north);
  const coordinate = chooseStrength(observations, first.params, makeShapeCoordinate(first));
  const process = GaussianProcess.fit(withShape(observations, coordinate), first.params);
  return process && { process, coordinate };
}

/** A fit to all observations, with the noise of outliers raised. */
export function fitRobustly(
  all: Observations,
  passSpacing: number,
  assumptions: SearchAssumptions = SURROUNDED,
): GaussianProcess | undefined {
  const found = findCovariance(all, passSpacing, assumptions);
  if (found === undefined) return undefined;
  const without = withoutOutlyingLeg(all, passSpacing, assumptions, found);
  const { params } = (without && findCovariance(without, passSpacing, assumptions)) ?? found;
  const fit = GaussianProcess.fit(without ?? all, params);
  const inflated = fit?.withInflatedNoise();
  return inflated === fit?.observations ? fit : ((inflated && GaussianProcess.fit(inflated, params)) ?? fit);
}

/** Depth and gradient at the waypoint with their covariance. */
export const atWaypoint = ({ process, coordinate }: Surface): Posterior =>
  process.posteriorAt(0, 0, coordinate.at(0, 0));

/** Number of nearest observations whose median gives the usual noise at the waypoint: a single one may be an outlier. */
const USUAL = 15;

/** Standard deviation of the roughness that the fit cannot follow, m: what looks like more noise than the sonar has. */
export const roughnessOf = ({ process: { observations, params } }: Pick<Surface, 'process'>): number =>
  Math.sqrt((params.nugget - 1) * medianOf(observations.noise.slice(0, USUAL)));
