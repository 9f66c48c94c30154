import { medianOf } from '../math/index.ts';
import type { Blocks } from './blocks.ts';

/** Blocks within this distance of the waypoint show how the ground bends, m. */
const REACH = 60;
/** Blocks further apart than this, or closer, show no bend of the scale that is asked for, m. */
const LONGEST_STEP = 9;
const SHORTEST_STEP = 2;
/** Bends fewer than this tell nothing. */
const LEAST_BENDS = 12;
/** Median of |x| of a normal x of unit standard deviation. */
const MEDIAN_OF_NORMAL = 0.6745;
/** Change of slope from one block to the next (m/m) under which ground is even, and over which it bends everywhere. */
const EVEN = 0.04;
const BENT = 0.06;

/**
 * Degree to which ground bends everywhere round a waypoint, 0 to 1: median change of slope along the passes from one
 * block to the next.
 *
 * A lake's forms bend at their edges and are even between them, so their median is what noise makes, 0.01 to 0.04; that
 * of steep eroded terrain is 0.05 to 0.2.
 *
 * @param blocks Some 5 m long near the waypoint.
 */
export function bendOf({ count, east, north, depth, leg, noise, weight }: Blocks): number {
  const bends: number[] = [];
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
    bends.push(Math.abs((depth[i + 1] - depth[i]) / after - (depth[i] - depth[i - 1]) / before));
  }
  if (bends.length < LEAST_BENDS) return 0;
  const ofNoise = MEDIAN_OF_NORMAL ** 2 * (noiseVariance / bends.length);
  const bend = Math.sqrt(Math.max(0, medianOf(bends) ** 2 - ofNoise));
  return Math.min(1, Math.max(0, (bend - EVEN) / (BENT - EVEN)));
}
