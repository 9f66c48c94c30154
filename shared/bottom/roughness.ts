import { medianOf } from '../math/index.ts';
import type { Blocks } from './blocks.ts';

/** Blocks within this distance of the waypoint show how rough the ground is, m. */
const REACH = 60;
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
    if (Math.hypot(east[i], north[i]) > REACH) continue;
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
