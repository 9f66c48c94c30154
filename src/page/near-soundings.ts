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

/** Meters per degree of latitude, slightly too low, so that a search box in degrees is never too small. */
const METERS_PER_DEGREE = 110_500;

/** Soundings within a radius of a waypoint, in survey order. @param radius m. */
export function soundingsNear(
  survey: SurveyColumns,
  index: SoundingIndex | undefined,
  frame: LocalFrame,
  radius: number,
): NearSounding[] {
  const rows = index?.within(frame.lat, frame.lon, radius) ?? rowsInBox(survey, frame, radius);
  const near: NearSounding[] = [];
  for (const row of rows) {
    const [east, north] = frame.toLocal(survey.lat[row], survey.lon[row]);
    if (east * east + north * north <= radius * radius) {
      near.push({
        east,
        north,
        depth: survey.depth[row],
        pass: survey.pass[row],
      });
    }
  }
  return near;
}

function rowsInBox(survey: SurveyColumns, frame: LocalFrame, radius: number): number[] {
  const rows: number[] = [];
  const reach = radius / METERS_PER_DEGREE;
  for (let row = 0; row < survey.count; row += 1) {
    if (Math.abs(survey.lat[row] - frame.lat) <= reach) rows.push(row);
  }
  return rows;
}
