import { expect, test } from 'vitest';
import { CELL, CELL_WIDTH } from '../../shared/contract/soundings.ts';
import { indexSurvey } from '../../shared/survey/survey-index.ts';
import { makeLog, makeSurvey, straightRun } from './make-log.ts';

/** Passes 2 m apart over a bottom that deepens eastward, with a weight for each row. */
const passes = Array.from({ length: 21 }, (_, worker) =>
  makeLog(
    straightRun({ count: 14, step: 3, east: 2 * worker - 20, north: -20, depth: (_, east) => 8 + east / 10 }),
  ),
);
const survey = makeSurvey(passes);
const weight = survey.weight.map((_, row) => 1 + (row % 5));

test('cells of crowded passes hold all soundings of their rows, and their mean depth', () => {
  const { runs, cells } = indexSurvey({ ...survey, weight }).crowded!(45, -93, 15)!;
  expect(runs.length).toBeGreaterThan(0);
  const all = Array.from({ length: cells.length / CELL_WIDTH }, (_, cell) =>
    cells.subarray(cell * CELL_WIDTH, (cell + 1) * CELL_WIDTH),
  );
  const soundings = all.reduce((sum, record) => sum + record[CELL.weight], 0);
  expect(soundings).toBe(weight.reduce((sum, own) => sum + own, 0));
  const depths = all.reduce((sum, record) => sum + record[CELL.weight] * record[CELL.depth], 0);
  expect(depths).toBeCloseTo(
    weight.reduce((sum, own, row) => sum + own * survey.depth[row], 0),
    2,
  );
});
