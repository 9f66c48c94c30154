import { expect, test } from 'vitest';
import { blockSoundings } from '../../shared/bottom/blocked-soundings.ts';
import { slopeChangeRoughness } from '../../shared/bottom/blocks.ts';
import { surveyOf } from './survey-of.ts';

const even = (e: number, n: number): number => 8 + 2 * Math.tanh(n / 15) + e / 60;
const wavy = (e: number, n: number): number => 12 + 2 * Math.sin(e / 4) + 2 * Math.sin(n / 4);

test('a single face in even ground has roughness 0, and waves everywhere have roughness 1', () => {
  expect(slopeChangeRoughness(blockSoundings(surveyOf(even, { spacing: 20 })).blocks)).toBe(0);
  expect(slopeChangeRoughness(blockSoundings(surveyOf(wavy, { spacing: 20 })).blocks)).toBe(1);
});
