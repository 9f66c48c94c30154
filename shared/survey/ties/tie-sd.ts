import type { SoundingIndex, Survey } from '../../contract/index.ts';

/** Radius of the soundings that count for a place, m. */
const NEAR = 25;
/** Radius used where there are no soundings within `NEAR`, m. */
const WIDE = 60;

/**
 * Standard deviation of the depth at a place, m, from faults of whole passes: files, days or stretches with
 * an offset, drifts, late positions, weed. 0 where the passes agree.
 *
 * It is the largest value among the soundings near the place, since the depth may depend on the most doubtful
 * one. Combine it with the standard deviation of a modeled depth as an independent error; neighboring places
 * share it.
 *
 * @param lat deg. @param lon deg.
 */
export function tieSd(survey: Survey, index: SoundingIndex, lat: number, lon: number): number {
  const { tieError } = survey;
  if (tieError === undefined) return 0;
  const near = index.within(lat, lon, NEAR);
  const rows = near.length > 0 ? near : index.within(lat, lon, WIDE);
  return rows.reduce((most, row) => Math.max(most, tieError[row]), 0);
}
