import { type Blocks, findRuns, type LocalSoundings, makeBlocks } from './blocks.ts';
import { type Design, makeDesign, withGradient } from './design.ts';
import { matern52 } from './kernel.ts';
import { doubtBlocks, doubtPasses } from './outliers.ts';
import { trackSpacing } from './pass-spacing.ts';
import { gradientsAtBlocks, type Posterior, posteriorAt, type ShapeAt } from './predict.ts';
import { type Fit, fitProcess } from './process.ts';
import { makeShapeCoordinate, type ShapeCoordinate, withShape } from './shape-coordinate.ts';
import { findVariation, SEARCH_BLOCKS } from './variation-search.ts';

/** Soundings further than this from the waypoint are not used, m. */
export const SURFACE_RADIUS = 118;
/** Within this distance of the waypoint block means stand close, m. */
const NEAR_RADIUS = 55;
/** Least and most length of a block near the waypoint, and beyond, m of track. */
const NEAR_BLOCK = 5;
const FAR_BLOCK = 16;

/** The bottom round a waypoint as fitted to its soundings; places are east and north meters from the waypoint. */
export interface Surface {
  readonly passSpacing: number;
  readonly blocks: Blocks;
  /** The final fit; needs the coordinate of a place. */
  readonly fit: Fit;
  readonly coordinate: ShapeCoordinate;
}

/**
 * Fits the bottom round the origin.
 *
 * Steps: block means along each pass; a search for how the bottom varies; a first fit, from which come the bottom's
 * gradient at every block (what an offset pass does to depths) and the shape coordinate; a second fit with both.
 *
 * @returns undefined when the blocks are too few (under 6) or all in one place.
 */
export function fitSurface(soundings: LocalSoundings): Surface | undefined {
  const runs = findRuns(soundings);
  const passSpacing = trackSpacing(soundings, runs);
  const length = Math.max(NEAR_BLOCK, passSpacing / 6);
  const blocks = makeBlocks(soundings, runs, length, Math.max(FAR_BLOCK, length), NEAR_RADIUS);
  if (blocks.count < 6) return undefined;
  const kernel = matern52();
  let design = makeDesign(blocks);
  let variation = findVariation(design, kernel, passSpacing);
  if (variation === undefined) return undefined;
  const near = fitProcess(design, Math.min(SEARCH_BLOCKS, design.count), kernel, variation);
  const doubted = near === undefined ? design : doubtBlocks(near);
  if (doubted !== design) {
    design = doubted;
    variation = findVariation(design, kernel, passSpacing) ?? variation;
  }
  const varied = variation;
  const fitAll = (d: Design): Fit | undefined => fitProcess(d, d.count, kernel, varied);
  let first = fitAll(design);
  if (first === undefined) return undefined;
  const revised = doubtPasses(doubtBlocks(first), first);
  if (revised !== design) {
    design = revised;
    first = fitAll(design) ?? first;
  }
  const coordinate = makeShapeCoordinate(first);
  const gradient = gradientsAtBlocks(first);
  const fit = fitAll(withShape(withGradient(design, gradient.east, gradient.north), coordinate));
  return fit === undefined ? undefined : { passSpacing, blocks, fit, coordinate };
}

/** Depth and gradient at the waypoint with their covariance. */
export function atWaypoint(surface: Surface): Posterior {
  const shape: ShapeAt = surface.coordinate.at(0, 0);
  return posteriorAt(surface.fit, 0, 0, shape);
}
