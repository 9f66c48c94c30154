import { describe, expect, test } from 'vitest';
import { bendOf } from '../../shared/bottom/bend.ts';
import { gradientAt } from '../../shared/bottom/predict.ts';
import { mixGradients } from '../../shared/bottom/second-opinion.ts';
import { atWaypoint, blockByBend, blockSoundings, fitSurface } from '../../shared/bottom/surface.ts';
import { gradientOverWindow } from '../../shared/bottom/window-gradient.ts';
import { near } from './near.ts';
import { surveyOf } from './survey-of.ts';

const even = (e: number, n: number): number => 8 + 2 * Math.tanh(n / 15) + e / 60;
const wavy = (e: number, n: number): number => 12 + 2 * Math.sin(e / 4) + 2 * Math.sin(n / 4);

describe('ground that bends everywhere', () => {
  test('a single face in even ground does not bend everywhere, waves all over do', () => {
    expect(bendOf(blockSoundings(surveyOf(even, { spacing: 20 })).blocks)).toBe(0);
    expect(bendOf(blockSoundings(surveyOf(wavy, { spacing: 20 })).blocks)).toBe(1);
  });

  test('its blocks are shorter near the waypoint; even ground keeps its own', () => {
    const survey = surveyOf(even, { spacing: 20 });
    expect(blockByBend(survey)).toEqual(blockSoundings(survey));
    const bent = blockByBend(surveyOf(wavy, { spacing: 20 }));
    const nearest = (blocks: typeof bent.blocks): number =>
      Math.max(
        ...Array.from(blocks.weight).filter((_, i) => Math.hypot(blocks.east[i], blocks.north[i]) < 30),
      );
    expect(bent.bend).toBe(1);
    expect(nearest(bent.blocks)).toBe(1);
    expect(nearest(blockSoundings(surveyOf(wavy, { spacing: 20 })).blocks)).toBe(2);
  });

  test('the gradient over a window is that of nine depths of the same surface (Horn 1981)', () => {
    const { fit, coordinate } = fitSurface(blockSoundings(surveyOf(even, { spacing: 20 })))!;
    const z = [1, 0, -1].flatMap((n) =>
      [-1, 0, 1].map((e) => gradientAt(fit, 5 * e, 5 * n, coordinate.at(5 * e, 5 * n))[0]),
    );
    const { mean } = gradientOverWindow(fit, 5, coordinate.at);
    near(mean[0], z[4], 1e-9);
    near(mean[1], (z[2] + 2 * z[5] + z[8] - z[0] - 2 * z[3] - z[6]) / 40, 1e-9);
    near(mean[2], (z[0] + 2 * z[1] + z[2] - z[6] - 2 * z[7] - z[8]) / 40, 1e-9);
  });

  test('over a small window it is the gradient at the point, with its covariance', () => {
    const { fit, coordinate } = fitSurface(blockSoundings(surveyOf(even, { spacing: 20, noise: 0.3 })))!;
    const point = atWaypoint({ passSpacing: 20, bend: 0, fit, coordinate });
    const window = gradientOverWindow(fit, 1.5, coordinate.at);
    for (const i of [1, 2]) near(window.mean[i], point.mean[i], 0.002);
    // Across the face; along it the variance is as small as the steps of the correlation table.
    near(window.covariance[8] / point.covariance[8], 1, 0.1);
    near(window.covariance[0], point.covariance[0], 1e-9);
  });

  test('of two gradients what they differ by counts as variance', () => {
    const one = { mean: [5, 0, 0.2] as const, covariance: Float64Array.of(1, 0, 0, 0, 0.01, 0, 0, 0, 0.04) };
    const two = {
      mean: [6, 0.4, 0.2] as const,
      covariance: Float64Array.of(2, 0, 0, 0, 0.03, 0, 0, 0, 0.04),
    };
    const { mean, covariance } = mixGradients(one, two, 0.5);
    expect(mean[0]).toBe(5);
    near(mean[1], 0.2, 1e-12);
    near(covariance[4], 0.02 + 0.04, 1e-12);
    near(covariance[8], 0.04, 1e-12);
  });
});
