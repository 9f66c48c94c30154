import { expect, test } from 'vitest';
import { type KnownBottom, makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import { simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { errorCovariance, makeDesign } from '../../shared/bottom/design.ts';
import { matern52 } from '../../shared/bottom/kernel.ts';
import { lightDesign } from '../../shared/bottom/light-design.ts';
import { fitLight } from '../../shared/bottom/light-fit.ts';
import { LightProcess } from '../../shared/bottom/light-process.ts';
import { modelSlope, slopeOfBlocked } from '../../shared/bottom/model-bottom.ts';
import { likelihoodOf, makeFitRoom, type Variation } from '../../shared/bottom/process.ts';
import { blockCells, blockSoundings } from '../../shared/bottom/surface.ts';
import type { Survey } from '../../shared/contract/soundings.ts';
import { indexSurvey } from '../../shared/survey/survey-index.ts';
import { near } from './near.ts';
import { surveyOf } from './survey-of.ts';
import { surveyOfSets } from './survey-of-sets.ts';

const VARIATIONS: readonly Variation[] = [
  { kernel: matern52(), range: 40, sill: 2, ratio: 1, cos: 1, sin: 0, noise: 1 },
  { kernel: matern52(), range: 40, sill: 0.3, ratio: 1, cos: 1, sin: 0, noise: 4 },
  { kernel: matern52(), range: 25, sill: 1, ratio: 3, cos: Math.cos(0.7), sin: Math.sin(0.7), noise: 1 },
];

test('the likelihood of a way of varying is the one that the whole model finds', () => {
  const survey = simulateSurvey(makeBottom('point', { seed: 5 }), { seed: 6, spacing: 25, radius: 118 });
  const { blocks } = blockSoundings(survey);
  const n = 40;
  const design = makeDesign(blocks);
  const light = new LightProcess(lightDesign(blocks));
  for (const variation of VARIATIONS) {
    const whole = likelihoodOf(design, n, variation, errorCovariance(design, n), makeFitRoom(n));
    near(light.fit(variation, n), whole ?? Number.NaN, 1e-6);
  }
});

test('a plane is found as it is, and aspect points down it', () => {
  const plane = (east: number, north: number) => 20 + 0.08 * east - 0.06 * north;
  const model = modelSlope(surveyOf(plane, { spacing: 25, noise: 0, offset: 0, bias: 0, seed: 3 }), 44, -94);
  near(model.depth, 20, 0.02);
  near(model.slope ?? Number.NaN, (Math.atan(0.1) * 180) / Math.PI, 0.05);
  near(model.aspect ?? Number.NaN, 126.87, 0.5);
});

test('five blocks do not make a surface', () => {
  const survey = surveyOf(() => 9, { spacing: 25, seed: 1, radius: 118 });
  const { blocks, passSpacing } = blockSoundings({ ...survey, count: 5 });
  expect(fitLight({ blocks, passSpacing })).toBeUndefined();
});

test('stated intervals hold what they say where passes crowd, 2 m apart', () => {
  let marks = 0;
  const inside = { depth: 0, slope: 0 };
  for (let k = 0; k < 120; k++) {
    const bottom = makeBottom(STRUCTURE_WORDS[k % STRUCTURE_WORDS.length], { seed: 31_000 + k });
    const cells = indexSurvey(crowdedSurvey(bottom, k)).crowded?.(LAT, LON, 60);
    if (cells === undefined) throw new Error('passes 2 m apart must crowd');
    const model = slopeOfBlocked(blockCells(cells, LAT, LON, 60), LAT, LON);
    const east = bottom.depth(0.5, 0) - bottom.depth(-0.5, 0);
    const north = bottom.depth(0, 0.5) - bottom.depth(0, -0.5);
    const slope = (Math.atan(Math.hypot(east, north)) * 180) / Math.PI;
    marks++;
    if (Math.abs(model.depth - bottom.depth(0, 0)) <= 1.96 * model.depthSd) inside.depth++;
    if (Math.abs((model.slope ?? 0) - slope) <= 1.96 * (model.slopeSd ?? 0)) inside.slope++;
  }
  // 95 % of 120 marks give 107 or more with a chance of 0.998.
  expect(marks).toBe(120);
  expect(inside.depth).toBeGreaterThanOrEqual(107);
  expect(inside.slope).toBeGreaterThanOrEqual(107);
});

const LAT = 44.3;
const LON = -94.1;

/** Three sets of passes 6 m apart in three directions. */
function crowdedSurvey(bottom: KnownBottom, k: number): Survey {
  const sets = [0, 55, 120].map((heading, set) =>
    simulateSurvey(bottom, { spacing: 6, heading: heading + k, seed: 3 * k + set, radius: 75 }),
  );
  return surveyOfSets(sets, LAT, LON);
}
