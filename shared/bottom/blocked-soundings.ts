import { group } from 'd3-array';
import {
  type Blocks,
  emptyBlocks,
  findRuns,
  makeBlocks,
  slopeChangeRoughness,
  trackSpacing,
} from './blocks.ts';
import type { LocalSoundings } from './local-rows.ts';
import { estimateNoise, findSpikes, type Noise } from './noise.ts';

/** Distance from the waypoint beyond which soundings are not used, m. */
export const SURFACE_RADIUS = 118;
/** Distance from the waypoint within which blocks are short, m. */
const NEAR_RADIUS = 55;
/** Minimum length of a block near the waypoint, m of track. */
const NEAR_BLOCK = 5;
/** Minimum length of a block farther out, m of track. */
const FAR_BLOCK = 16;
/** Pass spacing below which blocks grow longer, m. */
const CROWDED_SPACING = 14;
/** Pass spacing, m, below which `BlockLengths.thin` grows and a covariance search uses more observations. */
export const CLOSE_SPACING = 20;
/** Maximum length of a block near the waypoint, m of track. */
const LONGEST_BLOCK = 12;
/** Pass spacing divided by the length of a block near the waypoint, where passes are far apart. */
const BLOCKS_PER_SPACING = 6;
/** Side of a square cell near the waypoint, m. */
const SIDE = 8;
/** Distances from the waypoint at which the side of a cell doubles, m. */
const DOUBLED = [28, 60];
/** Factor in the key of a cell: larger than any row or column number, so that keys are distinct. */
const KEYS = 4096;

/** Block means around a waypoint, and properties of the soundings behind them. */
export interface BlockedSoundings {
  readonly blocks: Blocks;
  /** Mean distance between passes, m. */
  readonly passSpacing: number;
  /** Number of soundings given, spikes included. */
  readonly soundings: number;
  /** Roughness of the ground around the waypoint, 0 to 1 (`slopeChangeRoughness`). */
  readonly bend: number;
}

/** Maximum number of blocks along passes; more blocks make the fit slower but no better. */
const MAX_BLOCKS = 320;

/**
 * Averages the soundings around the origin in blocks along the passes. Uses square cells instead if there
 * would be more than `MAX_BLOCKS` blocks. Leaves out spikes.
 *
 * @param reach Distance from the origin to which the soundings reach, m.
 */
export function blockSoundings(soundings: LocalSoundings, reach = SURFACE_RADIUS): BlockedSoundings {
  const runs = findRuns(soundings);
  const spike = findSpikes(soundings, runs);
  const noise = estimateNoise(soundings, runs, spike);
  const passSpacing = trackSpacing(soundings, runs, reach);
  const near = nearBlock(passSpacing, CROWDED_SPACING);
  const thin = nearBlock(passSpacing, CLOSE_SPACING);
  const along = makeBlocks(soundings, runs, { near, thin, far: FAR_BLOCK }, NEAR_RADIUS, spike, noise);
  const bend = slopeChangeRoughness(along);
  const blocks = along.count > MAX_BLOCKS ? cellBlocks(soundings, spike, noise) : along;
  return { passSpacing, soundings: countSoundings(soundings), blocks, bend };
}

function countSoundings({ count, weight }: LocalSoundings): number {
  if (weight === undefined) return count;
  let sum = 0;
  for (let i = 0; i < count; i++) sum += weight[i];
  return Math.round(sum);
}

/**
 * Returns the length of a block near the waypoint, m of track.
 *
 * Where passes crowd, blocks grow up to 12 m, so that fewer blocks cover the ground and each block averages
 * out more of the sonar's noise. Where passes are far apart, a block is a sixth of the spacing, up to 12 m.
 * Otherwise blocks stay short, because a longer block smooths the ground.
 *
 * @param crowdedSpacing Pass spacing below which blocks grow, m.
 */
function nearBlock(passSpacing: number, crowdedSpacing: number): number {
  const crowded = NEAR_BLOCK * (crowdedSpacing / passSpacing) ** 2;
  return Math.max(NEAR_BLOCK, Math.min(LONGEST_BLOCK, Math.max(passSpacing / BLOCKS_PER_SPACING, crowded)));
}

/**
 * Averages the soundings of all passes in square cells, for ground where passes crowd.
 *
 * Each cell counts as its own leg, because the errors of many passes average out in a cell.
 *
 * @param spike 1 for rows to leave out.
 */
export function cellBlocks(
  { count, east, north, depth, weight }: LocalSoundings,
  spike: Uint8Array,
  noise: Noise,
): Blocks {
  const cellOf = (i: number): number => {
    const square = east[i] * east[i] + north[i] * north[i];
    const side = DOUBLED.reduce((size, from) => (square < from * from ? size : 2 * size), SIDE);
    return (side * KEYS + Math.floor(east[i] / side)) * KEYS + Math.floor(north[i] / side);
  };
  const rows = Array.from({ length: count }, (_, i) => i).filter((i) => spike[i] === 0);
  const cells = [...group(rows, cellOf).values()];
  const weightOf = (i: number): number => (weight === undefined ? 1 : weight[i]);
  const weights = Float64Array.from(cells, (cell) => cell.reduce((sum, i) => sum + weightOf(i), 0));
  const mean = (column: ArrayLike<number>): Float64Array =>
    weights.map((all, block) => cells[block].reduce((sum, i) => sum + weightOf(i) * column[i], 0) / all);
  return {
    ...emptyBlocks(cells.length),
    east: mean(east),
    north: mean(north),
    depth: mean(depth),
    leg: Int32Array.from(cells.keys()),
    weight: weights,
    noise: Float64Array.from(cells, ([first]) => noise.near(first)),
  };
}
