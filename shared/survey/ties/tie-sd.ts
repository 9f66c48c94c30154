import type { SoundingIndex, Survey } from '../../contract/index.ts';

/** Soundings this near a place stand for it, m; where there are none, those within the second. */
const NEAR = 25;
const WIDE = 60;

/**
 * Standard deviation, m, that the depth at a place has because the passes it stands on disagree as wholes: files, days or
 * stretches that are off, drifts, late positions, weed. 0 where they agree.
 *
 * The largest of the soundings near the place, as one in doubt may be what the depth there rests on. It adds to the standard
 * deviation of a modeled depth as an independent error, and is shared by all places round about.
 *
 * @param lat deg. @param lon deg.
 */
export function tieSd(survey: Survey, index: SoundingIndex, lat: number, lon: number): number {
  const { doubt } = survey;
  if (doubt === undefined) return 0;
  const near = index.within(lat, lon, NEAR);
  const rows = near.length > 0 ? near : index.within(lat, lon, WIDE);
  return rows.reduce((most, row) => Math.max(most, doubt[row]), 0);
}
