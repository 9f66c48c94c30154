import { describe, expect, test } from 'vitest';
import { type Design, makeDesign, pickBlocks } from '../../shared/bottom/design.ts';
import { matern32 } from '../../shared/bottom/kernel.ts';
import { foretellLegs, leftOutDensity, mixPosteriors } from '../../shared/bottom/left-out.ts';
import { fitProcess, isotropic } from '../../shared/bottom/process.ts';
import { blockSoundings } from '../../shared/bottom/surface.ts';
import { near } from './near.ts';
import { surveyOf } from './survey-of.ts';

const wavy = (e: number, n: number): number => 20 + 2 * Math.sin((e + n) / 12) + 0.2 * n;
const designOf = (depth: (e: number, n: number) => number, heading = 30): Design =>
  makeDesign(blockSoundings(surveyOf(depth, { spacing: 20, noise: 0.1, heading })).blocks);

/** Over a window of 10 m. */
const foretold = (design: Design) => foretellLegs(design, 20, 5);

describe('legs foretold from all others', () => {
  test('the density of a leg is what the restricted likelihood gains by it', () => {
    const design = designOf(wavy);
    const count = 60;
    // The furthest first, as the part of the near rows is taken from the end of the factor.
    const blocks = pickBlocks(
      design,
      Int32Array.from({ length: count }, (_, i) => count - 1 - i),
    );
    const rows = [...blocks.leg.keys()].filter((i) => blocks.leg[i] === design.leg[0] && i >= 20);
    const rest = Int32Array.from([...blocks.leg.keys()].filter((i) => !rows.includes(i)));
    const variation = { ...isotropic(matern32(), 40, 3), ratio: 2, cos: 0.6, sin: 0.8 };
    const all = fitProcess(blocks, count, variation)!;
    const without = fitProcess(pickBlocks(blocks, rest), rest.length, variation)!;
    expect(rows.length).toBeGreaterThan(4);
    near(leftOutDensity(all, [rows], 20)!, all.likelihood - without.likelihood, 1e-6);
  });

  test('the gradient on a plane is that of the plane', () => {
    const { mean } = foretold(designOf((e, n) => 20 + 0.2 * e - 0.1 * n))!;
    near(mean[1], 0.2, 0.02);
    near(mean[2], -0.1, 0.02);
  });

  test('turn the survey 90 degrees and the gradient turns 90 degrees', () => {
    const { mean } = foretold(designOf(wavy, 30))!;
    const across = foretold(designOf((e, n) => wavy(-n, e), 120))!;
    near(across.mean[1], mean[2], 1e-6);
    near(across.mean[2], -mean[1], 1e-6);
  });

  test('a block that stands off from all others hardly tells', () => {
    const design = designOf(wavy);
    const depth = design.depth.slice();
    depth[3] -= 8;
    const { mean } = foretold(design)!;
    const spiked = foretold({ ...design, depth })!;
    near(spiked.mean[1], mean[1], 0.03);
    near(spiked.mean[2], mean[2], 0.03);
  });

  test('where one leg alone is near nothing is foretold', () => {
    const design = designOf(wavy);
    const rows = Int32Array.from([...design.leg.keys()].filter((i) => design.leg[i] === design.leg[0]));
    expect(foretold(pickBlocks(design, rows))).toBeUndefined();
  });

  test('of two gradients what they differ by counts as variance', () => {
    const one = { mean: [5, 0, 0.2] as const, covariance: Float64Array.of(1, 0, 0, 0, 0.01, 0, 0, 0, 0.04) };
    const two = {
      mean: [6, 0.4, 0.2] as const,
      covariance: Float64Array.of(2, 0, 0, 0, 0.03, 0, 0, 0, 0.04),
    };
    const { mean, covariance } = mixPosteriors([one, two], [3, 1]);
    near(mean[0], 5.25, 1e-12);
    near(mean[1], 0.1, 1e-12);
    near(covariance[4], 0.015 + 0.03, 1e-12);
    near(covariance[8], 0.04, 1e-12);
  });
});
