import type { KnownBottom } from '../../fixtures/lakes/bottom.ts';
import { type LocalSoundings, type SurveyOptions, simulateSurvey } from '../../fixtures/lakes/survey.ts';

/** Simulates passes over a depth function; depths have only 0.02 m of noise unless `options` add errors. */
export const surveyOf = (depth: KnownBottom['depth'], options: Partial<SurveyOptions> = {}): LocalSoundings =>
  simulateSurvey(
    { depth },
    {
      seed: 1,
      spacing: 25,
      heading: 30,
      radius: 120,
      noise: 0.02,
      offset: 0,
      bias: 0,
      wander: 0.5,
      ...options,
    },
  );

/** Rotates the soundings clockwise about the origin. */
export function turned(soundings: LocalSoundings, degrees: number): LocalSoundings {
  const sin = Math.sin((degrees * Math.PI) / 180);
  const cos = Math.cos((degrees * Math.PI) / 180);
  return {
    ...soundings,
    east: soundings.east.map((e, i) => e * cos + soundings.north[i] * sin),
    north: soundings.north.map((n, i) => n * cos - soundings.east[i] * sin),
  };
}
