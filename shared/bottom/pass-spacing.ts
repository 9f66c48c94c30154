import type { LocalSoundings } from './blocks.ts';

/** Track within this distance of the waypoint counts, m. */
const RADIUS = 100;
/** Rows this close to the last counted one are a boat at rest or a raw log: their jitter is not track, m. */
const LEAST_STEP = 2;

/**
 * Mean distance between passes near the origin, m: area of a round over the length of track in it.
 *
 * A single pass through the middle gives about 157 m; no track at all gives the radius squared.
 */
export function trackSpacing(
  soundings: LocalSoundings,
  runs: readonly (readonly [start: number, end: number])[],
): number {
  const { east, north } = soundings;
  let length = 0;
  for (const [start, end] of runs) {
    let last = start;
    for (let i = start + 1; i < end; i++) {
      const step = Math.hypot(east[i] - east[last], north[i] - north[last]);
      if (step < LEAST_STEP) continue;
      if (Math.hypot(east[i] + east[last], north[i] + north[last]) / 2 < RADIUS) length += step;
      last = i;
    }
  }
  return (Math.PI * RADIUS * RADIUS) / Math.max(length, 1);
}
