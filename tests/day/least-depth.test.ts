import { expect, test } from 'vitest';
import { WATER } from '../../shared/day/known-water.ts';
import { lakeWays } from '../../shared/day/plan-day.ts';
import { ringLake } from './lake.ts';

const DRAFT = 0.9;
const MARGIN = 0.6;

/** Whether the ring lake may be run over where all of it is so deep, m. */
const isRunOver = (depth: number): boolean => {
  const { input } = ringLake(2, 1);
  const survey = { ...input.survey, shallowest: input.survey.shallowest.map(() => depth) };
  const ways = lakeWays({ ...input, survey }, { draft: DRAFT, margin: MARGIN }, [], undefined)!;
  return ways.water.state.includes(WATER.known);
};

test('water is run over from draft and margin on, and not a hand less deep', () => {
  expect(isRunOver(DRAFT + MARGIN + 0.1)).toBe(true);
  expect(isRunOver(DRAFT + MARGIN - 0.1)).toBe(false);
  expect(isRunOver(DRAFT)).toBe(false);
});
