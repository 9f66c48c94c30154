import type { LocalSoundings } from './local-rows.ts';

/** Track within this distance of the waypoint counts, m, or within the reach of the soundings where that is less. */
const RADIUS = 100;
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
  reach = RADIUS,
): number {
  const radius = Math.min(RADIUS, reach);
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
