import { describe, expect, test } from 'vitest';
import { bendOf } from '../../shared/bottom/bend.ts';
import type { Blocks } from '../../shared/bottom/blocks.ts';
import { modelBlocked, modelBottom } from '../../shared/bottom/model-bottom.ts';
import { gradientAt } from '../../shared/bottom/predict.ts';
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

  test('it has short blocks besides, near the waypoint; even ground has none', () => {
    expect(blockByBend(surveyOf(even, { spacing: 20 })).short).toBeUndefined();
    const { blocks, bend, short } = blockByBend(surveyOf(wavy, { spacing: 20 }));
    const most = ({ weight, east, north }: Blocks): number =>
      Math.max(...Array.from(weight).filter((_, i) => Math.hypot(east[i], north[i]) < 30));
    expect(bend).toBe(1);
    expect(most(short!)).toBe(1);
    expect(most(blocks)).toBe(2);
  });

  test('depth, grid and word stay those of the usual blocks, the gradient does not', () => {
    const survey = surveyOf(wavy, { spacing: 20, noise: 0.1 });
    const usual = modelBlocked(blockSoundings(survey), 0, 0);
    const bent = modelBottom(survey, 0, 0);
    expect(bent.depth).toBe(usual.depth);
    expect(bent.depthSd).toBe(usual.depthSd);
    expect(bent.grid).toEqual(usual.grid);
    expect(bent.gradient).not.toEqual(usual.gradient);
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
    const point = atWaypoint({ passSpacing: 20, fit, coordinate, bend: 0 });
    const window = gradientOverWindow(fit, 1.5, coordinate.at);
    for (const i of [1, 2]) near(window.mean[i], point.mean[i], 0.002);
    // Across the face; along it the variance is as small as the steps of the correlation table.
    near(window.covariance[8] / point.covariance[8], 1, 0.1);
    near(window.covariance[0], point.covariance[0], 1e-9);
  });
});
