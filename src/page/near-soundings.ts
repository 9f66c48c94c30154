import type { SoundingIndex, Soundings } from '../../shared/contract/index.ts';
import type { LocalFrame } from '../../shared/geo/index.ts';

export type SurveyColumns = Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth' | 'pass'>;

/** One sounding, in meters relative to a waypoint. */
export interface NearSounding {
  readonly east: number;
  readonly north: number;
  /** m. */
  readonly depth: number;
  readonly pass: number;
}

/** Soundings within a radius of a waypoint. @param radius m. */
export function soundingsNear(
  survey: SurveyColumns,
  index: SoundingIndex,
  frame: LocalFrame,
  radius: number,
): NearSounding[] {
  const near: NearSounding[] = [];
  for (const row of index.within(frame.lat, frame.lon, radius)) {
    const [east, north] = frame.toLocal(survey.lat[row], survey.lon[row]);
    if (east * east + north * north <= radius * radius)
      near.push({ east, north, depth: survey.depth[row], pass: survey.pass[row] });
  }
  return near;
}
