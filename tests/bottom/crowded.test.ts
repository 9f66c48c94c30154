import { expect, test } from 'vitest';
import { SURFACE_RADIUS } from '../../shared/bottom/blocks.ts';
import { blockCells } from '../../shared/bottom/cells.ts';
import { modelBlocked } from '../../shared/bottom/model-bottom.ts';
import { CELL, CELL_WIDTH, type Survey } from '../../shared/contract/soundings.ts';
import { indexSurvey } from '../../shared/survey/survey-index.ts';
import { near } from './near.ts';
import { surveyOf } from './survey-of.ts';
import { surveyOfSets } from './survey-of-sets.ts';

const LAT = 44.3;
const LON = -94.1;
/** Depth of a bank, m, by m east and north: 40 at the origin. */
const depth = (east: number, north: number) => 40 + 0.1 * east + 0.1 * north + 0.0004 * (east * north);
const SLOPE = (Math.atan(Math.hypot(0.1, 0.1)) * 180) / Math.PI;

/** Three sets of close passes in three directions, like several years of logs. */
function lakeOf(spacing: number): Survey {
  const sets = [0, 55, 120].map((heading, set) =>
    surveyOf(depth, { spacing, heading, seed: set + 1, radius: 150, noise: 0.1 }),
  );
  return surveyOfSets(sets, LAT, LON);
}

test('passes 15 m apart, even in three directions, are never merged into cells', () => {
  const index = indexSurvey(lakeOf(45));
  expect(index.within(LAT, LON, SURFACE_RADIUS).length).toBeGreaterThan(100);
  expect(index.crowded?.(LAT, LON, SURFACE_RADIUS)).toBeUndefined();
  expect(indexSurvey(lakeOf(15 * 2)).crowded?.(LAT, LON, 60)).toBeUndefined();
});

test('cells of a crowded neighborhood hold every sounding once and reproduce the known depth and slope', () => {
  const survey = lakeOf(6);
  const index = indexSurvey(survey);
  const cells = index.crowded?.(LAT, LON, SURFACE_RADIUS);
  if (cells === undefined) throw new Error('passes 2 m apart on the mean must crowd');
  let soundings = 0;
  for (let run = 0; run < cells.runs.length; run += 2)
    for (let cell = cells.runs[run]; cell < cells.runs[run + 1]; cell++)
      soundings += cells.cells[cell * CELL_WIDTH + CELL.weight];
  const weightWithin = (radius: number) =>
    index.within(LAT, LON, radius).reduce((total, row) => total + survey.weight[row], 0);
  // Cells extend past the circle, or stop short of it, by up to one cell.
  expect(soundings).toBeGreaterThan(weightWithin(SURFACE_RADIUS - 12));
  expect(soundings).toBeLessThan(weightWithin(SURFACE_RADIUS + 12));
  const blocked = blockCells(cells, LAT, LON, SURFACE_RADIUS);
  expect(blocked.blocks.count).toBeLessThan(200);
  near(blocked.passSpacing, 2, 0.5);
  const model = modelBlocked(blocked, LAT, LON);
  expect(model.status).toBe('ok');
  near(model.depth, 40, 0.05);
  near(model.slope ?? Number.NaN, SLOPE, 0.25);
  near(model.aspect ?? Number.NaN, 45, 2);
});
