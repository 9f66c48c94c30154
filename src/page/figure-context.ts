import type { DisplayUnits, SoundingIndex, Soundings } from '../../shared/contract/index.ts';
import type { LocalFrame } from '../../shared/geo/index.ts';

export type SurveyColumns = Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth' | 'pass'>;

/** Data that the figures of a spot need in addition to the spot. */
export interface FigureContext {
  readonly units: DisplayUnits;
  readonly survey: SurveyColumns;
  readonly index: SoundingIndex;
  /** True for a separate file: the figure then includes its style, patterns and title. */
  readonly isStandalone?: boolean;
}

export type NearSounding = ReturnType<typeof soundingsNear>[number];

/** Finds the soundings within `radius`, m, of a frame's origin, with offsets east and north from there, m. */
export const soundingsNear = (
  { survey, index }: FigureContext,
  { lat, lon, toLocal }: LocalFrame,
  radius: number,
) =>
  index.within(lat, lon, radius).flatMap((row) => {
    const [east, north] = toLocal(survey.lat[row], survey.lon[row]);
    if (!(east * east + north * north <= radius * radius)) return [];
    return [{ east, north, depth: survey.depth[row], pass: survey.pass[row] }];
  });
