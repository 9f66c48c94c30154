import type { CellMeans } from '../contract/soundings.ts';
import { medianOf } from '../math/median.ts';
import { bendOf } from './bend.ts';
import { type Blocks, findRuns, type LocalSoundings, makeBlocks } from './blocks.ts';
import { mergeCells } from './cells.ts';
import { thinCrowded } from './crowded.ts';
import { type Design, makeDesign, withGradient } from './design.ts';
import { foretellLegs, mixPosteriors } from './left-out.ts';
import { doubtBlocks } from './outliers.ts';
import { trackSpacing } from './pass-spacing.ts';
import { gradientAt, gradientsAtBlocks, type Posterior, posteriorAt } from './predict.ts';
import { type Fit, fitProcess } from './process.ts';
import { chooseStrength, makeShapeCoordinate, type ShapeCoordinate, withShape } from './shape-coordinate.ts';
import {
  CLOSE_SEARCH,
  FULL_SEARCH,
  findVariation,
  type SearchEffort,
} from './variation-search.ts';
import { gradientOverWindow } from './window-gradient.ts';

/** Soundings further than this from the waypoint are not used, m. */
export const SURFACE_RADIUS = 118;
/** Within this distance of the waypoint block means stand close, m. */
export const NEAR_RADIUS = 55;
/** Least length of a block near the waypoint, and beyond, m of track. */
const NEAR_BLOCK = 5;
const FAR_BLOCK = 16;
/** Distance between passes under which more blocks must be seen to tell ground from noise, m. */
const CLOSE_SPACING = 20;
/** Distance between passes under which blocks grow, m. */
const CROWDED_SPACING = 14;
/** Longest block near the waypoint, m. */
const LONGEST_BLOCK = 12;
/** Blocks per distance between passes, near the waypoint. */
const BLOCKS_PER_SPACING = 6;
/** Blocks with which a surface can be fitted at all. */
const LEAST_BLOCKS = 6;

/** Block means round a waypoint and the distance between the passes they come from. */
export interface BlockedSoundings {
  readonly blocks: Blocks;
  /** m. */
  readonly passSpacing: number;
  /** Soundings behind all rows. */
  readonly soundings: number;
  /** Blocks are cells of a crowded neighborhood. */
  readonly isOfCells?: boolean;
  /** Degree to which the ground bends everywhere, 0 to 1 (`bend.ts`). */
  readonly bend: number;
  /** Blocks half as long, where it does. */
  readonly short?: Blocks;
}

type FitInput = Omit<BlockedSoundings, 'soundings'>;

/** Block means of the soundings round the origin, spikes left out. @param reach Distance to which they reach, m. */
export function blockSoundings(soundings: LocalSoundings, reach = SURFACE_RADIUS): BlockedSoundings {
  const runs = findRuns(soundings);
  const passSpacing = trackSpacing(soundings, runs, reach);
  const near = nearBlock(passSpacing, CROWDED_SPACING);
  const thin = nearBlock(passSpacing, CLOSE_SPACING);
  const far = Math.max(FAR_BLOCK, thin);
  const blocks = makeBlocks(soundings, runs, { near, thin, far }, NEAR_RADIUS);
  return { passSpacing, soundings: countSoundings(soundings), blocks, bend: bendOf(blocks) };
}

/** The same; ground that bends everywhere gets no fit of its own. */
export const blockByBend = (soundings: LocalSoundings): BlockedSoundings => blockSoundings(soundings);

/** Soundings behind the rows. */
function countSoundings({ count, weight }: LocalSoundings): number {
  if (weight === undefined) return count;
  let sum = 0;
  for (let i = 0; i < count; i++) sum += weight[i];
  return Math.round(sum);
}

/** Where passes crowd: the cells of the lake in the place of blocks. @param reach Distance to which they reach, m. */
export const blockCells = (cells: CellMeans, lat: number, lon: number, reach: number): BlockedSoundings => ({
  ...mergeCells(cells, lat, lon, reach),
  isOfCells: true,
  bend: 0,
});

/**
 * Length of a block near the waypoint, m of track.
 *
 * Passes that crowd the neighborhood make blocks grow to 12 m, so that the nearest ones still reach as far and average
 * what the sonar scatters. Not before: a longer block levels the ground it stands for, unless soundings are so thin that
 * a shorter one holds a single one.
 *
 * @param crowdedSpacing Distance between passes under which blocks grow, m.
 */
function nearBlock(passSpacing: number, crowdedSpacing: number): number {
  const crowded = NEAR_BLOCK * (crowdedSpacing / passSpacing) ** 2;
  return Math.max(NEAR_BLOCK, Math.min(LONGEST_BLOCK, Math.max(passSpacing / BLOCKS_PER_SPACING, crowded)));
}

/** The bottom round a waypoint as fitted; places are east and north meters from the waypoint. */
export interface Surface {
  readonly passSpacing: number;
  /** The final fit; needs the shape coordinate of a place. */
  readonly fit: Fit;
  readonly coordinate: ShapeCoordinate;
  /** Degree to which the ground bends everywhere, 0 to 1. */
  readonly bend: number;
  /** Short blocks with the surface's gradient at each, where it does. */
  readonly short?: Design;
}

/** Fits the bottom round the origin; undefined when the blocks are under 6, or when they do not determine a surface. */
export function fitSurface({ blocks, passSpacing, bend, short }: FitInput): Surface | undefined {
  const fitted = fitBlocks(blocks, passSpacing);
  if (fitted === undefined) return undefined;
  const surface = { ...fitted, passSpacing, bend };
  return short === undefined ? surface : { ...surface, short: designOnSurface(short, surface) };
}

/** The design of other blocks of the same legs, with gradients and doubts of legs as a surface has them. */
function designOnSurface(blocks: Blocks, { fit, coordinate }: Surface): Design {
  const design = makeDesign(blocks);
  const gradientEast = new Float64Array(design.count);
  const gradientNorth = new Float64Array(design.count);
  for (let i = 0; i < design.count; i++) {
    const [east, north] = [design.east[i], design.north[i]];
    [, gradientEast[i], gradientNorth[i]] = gradientAt(fit, east, north, coordinate.at(east, north));
  }
  const bias = fit.design.legs === design.legs ? fit.design.bias : design.bias;
  return withGradient({ ...design, bias }, gradientEast, gradientNorth);
}

/**
 * A surface through blocks.
 *
 * Steps: a search for how the bottom varies; a first fit, from which come the bottom's gradient at every block (what
 * an offset pass does to depths) and the shape coordinate; a second fit with both, the coordinate as strong as the
 * depths near the waypoint make likeliest.
 */
function fitBlocks(all: Blocks, passSpacing: number): Pick<Surface, 'fit' | 'coordinate'> | undefined {
  if (all.count < LEAST_BLOCKS) return undefined;
  const blocks = thinCrowded(all, NEAR_RADIUS);
  const effort = passSpacing < CLOSE_SPACING ? CLOSE_SEARCH : FULL_SEARCH;
  const first = fitTrusted(makeDesign(blocks), passSpacing, effort);
  if (first === undefined) return undefined;
  const gradient = gradientsAtBlocks(first);
  const design = withGradient(first.design, gradient.east, gradient.north);
  const coordinate = chooseStrength(design, first.variation, makeShapeCoordinate(first));
  const fit = fitProcess(withShape(design, coordinate), design.count, first.variation);
  return fit === undefined ? undefined : { fit, coordinate };
}

/** A fit to all blocks, with those doubted that stand off from all others. */
function fitTrusted(all: Design, passSpacing: number, effort: SearchEffort): Fit | undefined {
  const variation = findVariation(all, passSpacing, effort);
  const fit = variation && fitProcess(all, all.count, variation);
  if (fit === undefined) return undefined;
  const doubted = doubtBlocks(fit);
  return doubted === fit.design ? fit : (fitProcess(doubted, doubted.count, fit.variation) ?? fit);
}

/** Half the side of the window over which ground that bends everywhere has a slope, m. */
const BENT_WINDOW = 5;
/** Weights of the gradients there: of the surface, and of many fits by how they foretell legs. */
const SURFACE_WEIGHT = 1;
const FORETELLING_WEIGHT = 4;

/**
 * Depth and gradient at the waypoint with their covariance.
 *
 * Ground that bends everywhere has a slope over some meters, not at a point, and no one fit of it is sure: the more it
 * bends, the more the gradient is that over a window, the mean of the surface's and of many fits' to short blocks
 * (`left-out.ts`), whose errors are far from alike.
 */
export function atWaypoint({ fit, coordinate, bend, short, passSpacing }: Surface): Posterior {
  const point = posteriorAt(fit, 0, 0, coordinate.at(0, 0));
  if (short === undefined) return point;
  const own = gradientOverWindow(fit, BENT_WINDOW, coordinate.at);
  const foretelling = foretellLegs(short, passSpacing, BENT_WINDOW) ?? own;
  const window = mixPosteriors([own, foretelling], [SURFACE_WEIGHT, FORETELLING_WEIGHT]);
  const { mean, covariance } = mixPosteriors([point, window], [1 - bend, bend]);
  // The depth stays the surface's.
  covariance[0] = point.covariance[0];
  return { mean: [point.mean[0], mean[1], mean[2]], covariance };
}

/** Standard deviation of what is rougher than the fit can follow and shows as more noise than the sonar has, m. */
export const roughnessOf = ({ fit: { design, variation } }: Surface): number =>
  Math.sqrt((variation.noise - 1) * usualNoise(design.noise));

/** Blocks nearest the waypoint whose noise is the usual one there: one alone may be in doubt. */
const USUAL_BLOCKS = 15;

/** Variance of the noise of a block near the waypoint, m^2. @param noise By distance from the waypoint. */
export const usualNoise = (noise: Float64Array): number => medianOf(noise.slice(0, USUAL_BLOCKS));
