import { expect, test } from 'vitest';
import { random } from '../../fixtures/lakes/random.ts';
import { findRuns, trackSpacing } from '../../shared/bottom/blocks.ts';
import type { LocalSoundings } from '../../shared/bottom/local-rows.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { near } from './near.ts';
import { surveyOf } from './survey-of.ts';

const depthAt = (e: number, n: number): number => 10 + 0.1 * e - 0.05 * n;

/**
 * Makes single soundings, one at a random place in each square of a grid.
 *
 * @param side Side of a square, m.
 */
function fieldOf(side: number): LocalSoundings {
  const source = random(5);
  const cells = Array.from({ length: Math.ceil(240 / side) ** 2 }, (_, i) => i);
  const perRow = Math.ceil(240 / side);
  const east = cells.map((i) => -120 + side * ((i % perRow) + source.next()));
  const north = cells.map((i) => -120 + side * (Math.floor(i / perRow) + source.next()));
  const depth = east.map((e, i) => depthAt(e, north[i]) + 0.1 * source.normal());
  return { count: east.length, east, north, depth, pass: cells };
}

test('the spacing of passes is the area divided by the length of track', () => {
  const survey = surveyOf(depthAt, { spacing: 25 });
  near(trackSpacing(survey, findRuns(survey)), 25, 2.5);
});

test('the spacing of single soundings is the side of the square that each occupies', () => {
  for (const side of [12, 25]) {
    const field = fieldOf(side);
    near(trackSpacing(field, findRuns(field)), side, 0.06 * side);
  }
});

test('on a field of single soundings, depth, slope and aspect are within the stated intervals', () => {
  const { status, depth, depthSd, slope, slopeSd, aspect, aspectSd } = modelBottom(fieldOf(15), 0, 0);
  expect(status).toBe('ok');
  near(depth, 10, 2 * depthSd);
  near(slope!, (Math.atan(Math.hypot(0.1, 0.05)) * 180) / Math.PI, 2 * slopeSd!);
  near(aspect!, (Math.atan2(0.1, -0.05) * 180) / Math.PI, 2 * aspectSd!);
  expect([depthSd < 0.3, slopeSd! < 2, aspectSd! < 20]).toEqual([true, true, true]);
});
