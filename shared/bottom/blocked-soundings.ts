import type { CellMeans } from '../contract/index.ts';
import { medianOf } from '../math/index.ts';
import { type Blocks, findRuns, makeBlocks } from './blocks.ts';
import { mergeCells } from './cells.ts';
import { CLOSE_SPACING } from './covariance-search.ts';
import type { LocalSoundings } from './local-rows.ts';

/** Soundings farther than this from the waypoint are not used, m. */
export const SURFACE_RADIUS = 118;
/** Within this distance of the waypoint, blocks are short, m. */
export const NEAR_RADIUS = 55;
/** Least length of a block near the waypoint, and beyond, m of track. */
const NEAR_BLOCK = 5;
const FAR_BLOCK = 16;
/** Pass spacing below which blocks grow longer, m. */
const CROWDED_SPACING = 14;
/** Longest block near the waypoint, m. */
const LONGEST_BLOCK = 12;
/** Blocks per pass spacing, near the waypoint. */
const BLOCKS_PER_SPACING = 6;

/** Block means around a waypoint and the distance between the passes they come from. */
export interface BlockedSoundings {
  readonly blocks: Blocks;
  /** m. */
  readonly passSpacing: number;
  /** Soundings behind all rows. */
  readonly soundings: number;
  /** Roughness of the ground around the waypoint, 0 to 1 (`slopeChangeRoughness`). */
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

/** Track within this distance of the waypoint counts, m, or within the reach of the soundings where that is less. */
const TRACK_RADIUS = 100;
/** Rows closer than this to the last counted one do not count, m: a boat at rest and a raw log jitter by as much. */
const MIN_STEP = 2;
/** Least number of isolated soundings that make a field of points, as from a chart or a hand line. */
const MIN_POINTS = 12;

/**
 * Mean distance between passes near the origin, m: the area of a circle over the length of track inside it.
 *
 * @param reach Distance from the origin to which the soundings given reach, m.
 *
 * A single pass through the middle gives about 157 m; no track at all gives thousands of meters. Isolated soundings count
 * as spaced by the side of the square that each has to itself, where that is less.
 */
export function trackSpacing(
  soundings: LocalSoundings,
  runs: readonly (readonly [start: number, end: number])[],
  reach = TRACK_RADIUS,
): number {
  const radius = Math.min(TRACK_RADIUS, reach);
  const { east, north } = soundings;
  let length = 0;
  let points = 0;
  for (const [start, end] of runs) {
    let last = start;
    for (let i = start + 1; i < end; i++) {
      // Roots of sums: `Math.hypot` is too slow for every row.
      const step = Math.sqrt((east[i] - east[last]) ** 2 + (north[i] - north[last]) ** 2);
      if (step < MIN_STEP) continue;
      if ((east[i] + east[last]) ** 2 + (north[i] + north[last]) ** 2 < (2 * radius) ** 2) length += step;
      last = i;
    }
    if (last === start && east[start] ** 2 + north[start] ** 2 < radius * radius) points++;
  }
  const area = Math.PI * radius * radius;
  const byTrack = area / Math.max(length, 1);
  return points < MIN_POINTS ? byTrack : Math.min(byTrack, Math.sqrt(area / points));
}

/** Blocks within this distance of the waypoint show how rough the ground is, m. */
const ROUGHNESS_REACH = 60;
/** Longest and shortest distance between neighboring blocks that shows roughness of the scale in question, m. */
const LONGEST_STEP = 9;
const SHORTEST_STEP = 2;
/** With fewer changes of slope than this, nothing is known about the ground. */
const MIN_BENDS = 12;
/** Median of |x| of a normal x of unit standard deviation. */
const MEDIAN_OF_NORMAL = 0.6745;
/**
 * Change of slope between neighboring blocks, m/m: below `EVEN` the ground is even, above `BENT` it is rough
 * everywhere.
 */
const EVEN = 0.04;
const ROUGH = 0.06;

/**
 * Roughness of the ground around a waypoint, 0 to 1, from the median change of slope between neighboring blocks of a
 * pass.
 *
 * Most lake bottoms curve at the edges of forms and are even in between, so the median change is mostly noise, 0.01 to
 * 0.04 m/m; on steep eroded terrain it is 0.05 to 0.2 m/m.
 *
 * @param blocks About 5 m long near the waypoint.
 */
export function slopeChangeRoughness({ count, east, north, depth, leg, noise, weight }: Blocks): number {
  const slopeChanges: number[] = [];
  let noiseVariance = 0;
  const variance = (i: number): number => noise[i] ** 2 / weight[i];
  for (let i = 1; i < count - 1; i++) {
    if (leg[i - 1] !== leg[i] || leg[i + 1] !== leg[i]) continue;
    if (Math.hypot(east[i], north[i]) > ROUGHNESS_REACH) continue;
    const before = Math.hypot(east[i] - east[i - 1], north[i] - north[i - 1]);
    const after = Math.hypot(east[i + 1] - east[i], north[i + 1] - north[i]);
    if (Math.max(before, after) > LONGEST_STEP || Math.min(before, after) < SHORTEST_STEP) continue;
    const own = 1 / before + 1 / after;
    noiseVariance += variance(i - 1) / before ** 2 + variance(i) * own ** 2 + variance(i + 1) / after ** 2;
    slopeChanges.push(Math.abs((depth[i + 1] - depth[i]) / after - (depth[i] - depth[i - 1]) / before));
  }
  if (slopeChanges.length < MIN_BENDS) return 0;
  const ofNoise = MEDIAN_OF_NORMAL ** 2 * (noiseVariance / slopeChanges.length);
  const slopeChange = Math.sqrt(Math.max(0, medianOf(slopeChanges) ** 2 - ofNoise));
  return Math.min(1, Math.max(0, (slopeChange - EVEN) / (ROUGH - EVEN)));
}
