import type { SoundingIndex, Survey } from '../../contract/index.ts';

/** Radius within which soundings count for a place, m. */
const NEAR = 25;
const WIDE = 60;

/**
 * Returns the standard deviation of the depth at a place due to disagreement between passes, m.
 *
 * The result is the largest `tieError` near the place, because the depth may depend on the most doubtful
 * sounding. Add the square of the result to the variance of a modeled depth. Neighboring places share the
 * error.
 */
export function tieSd(survey: Survey, index: SoundingIndex, lat: number, lon: number): number {
  const { tieError } = survey;
  if (tieError === undefined) return 0;
  const near = index.within(lat, lon, NEAR);
  const rows = near.length > 0 ? near : index.within(lat, lon, WIDE);
  return rows.reduce((most, row) => Math.max(most, tieError[row]), 0);
}
