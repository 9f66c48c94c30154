import { expect, test } from 'vitest';
import { makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import { random } from '../../fixtures/lakes/random.ts';
import { type LocalSoundings, simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { blockSoundings } from '../../shared/bottom/blocked-soundings.ts';
import { errorCovariances, isotropic, TILT } from '../../shared/bottom/covariance.ts';
import { findCovariance } from '../../shared/bottom/covariance-search.ts';
import { GaussianProcess } from '../../shared/bottom/gaussian-process.ts';
import { correlationAt, fallAt, MATERN_32, MATERN_52 } from '../../shared/bottom/kernel.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { makeObservations, pickObservations } from '../../shared/bottom/observations.ts';
import { fitRobustQuadratic } from '../../shared/bottom/quadratic.ts';
import { fitSurface } from '../../shared/bottom/surface.ts';
import { near } from './near.ts';
import { surveyOf } from './survey-of.ts';

/** Franke's first function on the unit square. Source: Franke 1979; f(0.5, 0.5) = 0.3257621. */
const franke = (x: number, y: number): number =>
  0.75 * Math.exp(-((9 * x - 2) ** 2 + (9 * y - 2) ** 2) / 4) +
  0.75 * Math.exp(-((9 * x + 1) ** 2) / 49 - (9 * y + 1) / 10) +
  0.5 * Math.exp(-((9 * x - 7) ** 2 + (9 * y - 3) ** 2) / 4) -
  0.2 * Math.exp(-((9 * x - 4) ** 2) - (9 * y - 7) ** 2);

test("Franke's function from 100 scattered nodes has a smaller mean error than a published cubic method", () => {
  near(franke(0.5, 0.5), 0.3257621, 1e-7);
  const source = random(3);
  const nodes = Array.from({ length: 100 }, (_, i) => [
    ((i % 10) + 0.5 + source.range(-0.35, 0.35)) / 10,
    (Math.floor(i / 10) + 0.5 + source.range(-0.35, 0.35)) / 10,
  ]);
  // One unit is 100 m; every node is a separate pass and almost free of noise.
  const column = (pick: (node: number[]) => number) => Float64Array.from(nodes, pick);
  const zeros = new Float64Array(100);
  const observations = makeObservations({
    count: 100,
    east: column(([x]) => 100 * x - 50),
    north: column(([, y]) => 100 * y - 50),
    depth: column(([x, y]) => franke(x, y)),
    leg: Int32Array.from(nodes, (_, i) => i),
    weight: new Float64Array(100).fill(1),
    wayEast: zeros,
    wayNorth: zeros,
    along: zeros,
    noise: new Float64Array(100).fill(1e-4),
  });
  const process = GaussianProcess.fit(
    { ...observations, bias: observations.bias.map(() => 0) },
    isotropic(60, 0.2, 1),
  )!;
  let sum = 0;
  let most = 0;
  for (let i = 0; i < 33; i++) {
    for (let j = 0; j < 33; j++) {
      const error = Math.abs(
        process.meanAt((100 * i) / 32 - 50, (100 * j) / 32 - 50) - franke(i / 32, j / 32),
      );
      sum += error / 33 ** 2;
      most = Math.max(most, error);
    }
  }
  // Errors of Renka's cubic Shepard method on another 100 nodes, from the survey of ACM TOMS 792: mean
  // 0.00396, maximum 0.0451.
  expect(sum).toBeLessThan(0.00396);
  expect(most).toBeLessThan(0.09);
});

test('the tables are accurate to 2e-4 for the correlation, and to 5e-4 for its fall', () => {
  for (let r = 0; r < 8; r += 0.0137) {
    const x = Math.sqrt(3) * r;
    near(correlationAt(MATERN_32, r), (1 + x) * Math.exp(-x), 2e-4);
    near(fallAt(MATERN_32, r), 3 * Math.exp(-x), 5e-4);
    const s = Math.sqrt(5) * r;
    near(correlationAt(MATERN_52, r), (1 + s + (s * s) / 3) * Math.exp(-s), 2e-4);
    near(fallAt(MATERN_52, r), (5 / 3) * (1 + s) * Math.exp(-s), 5e-4);
  }
  expect(correlationAt(MATERN_32, 9)).toBe(0);
});

test('leaving observations out predicts them as a fit without them does', () => {
  const { blocks } = blockSoundings(
    surveyOf((e, n) => 8 + 2 * Math.tanh(n / 15) + e / 60, { spacing: 25, noise: 0.1 }),
  );
  const all = makeObservations(blocks);
  const params = isotropic(40, 2);
  const leg = all.leg[0];
  const rows = [...all.leg.keys()].filter((i) => all.leg[i] === leg);
  const others = Int32Array.from([...all.leg.keys()].filter((i) => all.leg[i] !== leg));
  // Latency is an error that all passes share; without a gradient it has no effect.
  const level = {
    ...all,
    gradientEast: new Float64Array(all.count),
    gradientNorth: new Float64Array(all.count),
  };
  const left = GaussianProcess.fit(level, params)!.leaveOut(rows)!;
  const rest = GaussianProcess.fit(pickObservations(level, others), params)!;
  rows.forEach((row, k) => {
    const { mean, covariance } = rest.posteriorAt(all.east[row], all.north[row]);
    near(left.residual[k], all.depth[row] + all.zero - mean[0], 1e-6);
    near(left.variance[k], covariance[0] + errorCovariances(level)[row * level.count + row], 1e-6);
  });
});

test('likelihood and posterior match the closed form for two observations', () => {
  // Two depths 10 m apart, with noise of 0.1 m.
  const zeros = new Float64Array(2);
  const observations = makeObservations({
    count: 2,
    east: Float64Array.of(-5, 5),
    north: zeros,
    depth: Float64Array.of(4, 6),
    leg: Int32Array.of(0, 1),
    weight: new Float64Array(2).fill(1),
    wayEast: zeros,
    wayNorth: zeros,
    along: zeros,
    noise: new Float64Array(2).fill(0.1),
  });
  const process = GaussianProcess.fit(
    { ...observations, bias: observations.bias.map(() => 0) },
    isotropic(20, 1, 1e-6),
  )!;
  const k = (r: number): number => (1 + (Math.sqrt(3) * r) / 20) * Math.exp((-Math.sqrt(3) * r) / 20);
  near(process.meanAt(0, 0), 5, 1e-6);
  // By symmetry the level is 5 and each residual 1: alpha = 1 / (1 + noise - k(10)).
  const alpha = 1 / (1 + 0.01 + 1e-6 - k(10));
  near(process.meanAt(5, 0), 5 + alpha * (1 - k(10)), 1e-3);
  // Variance of universal kriging: sill - 2 k(5)^2 / (1 + noise + k(10)) + (1 - w)^2 / precision of the
  // level.
  const sum = 1 + 0.01 + 1e-6 + k(10);
  const weight = (2 * k(5)) / sum;
  near(
    process.posteriorAt(0, 0).covariance[0],
    1 - (2 * k(5) ** 2) / sum + ((1 - weight) ** 2 * sum) / 2,
    1e-3,
  );
});

test('the gradient is the derivative of the mean, with and without the shape coordinate', () => {
  const surface = fitSurface(blockSoundings(surveyOf((e, n) => 8 + 2 * Math.tanh(n / 15) + e / 60)))!;
  const { process, coordinate } = surface;
  const h = 1;
  const at = (e: number, n: number) => process.meanAt(e, n, coordinate.at(e, n)[0]);
  for (const [e, n] of [
    [3, 4],
    [-17, 9],
    [21, -13],
  ]) {
    const [depth, east, north] = process.posteriorAt(e, n, coordinate.at(e, n)).mean;
    near(depth, at(e, n), 1e-9);
    near(east, (at(e + h, n) - at(e - h, n)) / (2 * h), 6e-3);
    near(north, (at(e, n + h) - at(e, n - h)) / (2 * h), 6e-3);
  }
});

test('variance is small on a pass, larger between passes, and never negative', () => {
  const blocked = blockSoundings(
    surveyOf((e) => 8 + 2 * Math.tanh(e / 20), { spacing: 40, heading: 0, noise: 0.05 }),
  );
  const { process, coordinate } = fitSurface(blocked)!;
  const variance = (e: number, n: number) => process.posteriorAt(e, n, coordinate.at(e, n)).covariance[0];
  const east = blocked.blocks.east;
  const on = east.reduce((best, e) => (Math.abs(e) < Math.abs(best) ? e : best), 1e9);
  expect(variance(on, 0)).toBeLessThan(variance(on + 20, 0));
  expect(variance(on, 0)).toBeGreaterThan(0);
});

test('the depth is within 0.2 m even if the nearest of passes 15 m apart reads a meter too deep', () => {
  const survey = { spacing: 15, noise: 0.1, offset: 1, bias: 0.05 };
  for (const word of ['hole', 'ridge', 'ditch', 'point', 'flat'] as const) {
    const bottom = makeBottom(word, { seed: 21_000_000 + STRUCTURE_WORDS.indexOf(word) });
    const soundings = simulateSurvey(bottom, {
      radius: 122,
      ...survey,
      seed: 63_000_000 + STRUCTURE_WORDS.indexOf(word),
    });
    const { depth } = modelBottom(withNearestPassOff(soundings), 0, 0, { hasGrid: false });
    expect(Math.abs(depth - bottom.depth(0, 0)), word).toBeLessThan(0.2);
  }
});

test('the direction of isobaths is found', () => {
  // A ditch on a bearing of 60 degrees.
  const across = (e: number, n: number) => e * Math.cos(Math.PI / 3) - n * Math.sin(Math.PI / 3);
  const ditch = (e: number, n: number) => 6 + 3 * Math.exp(-(across(e, n) ** 2) / (2 * 12 ** 2));
  const { blocks, passSpacing } = blockSoundings(surveyOf(ditch, { heading: 0, noise: 0.05 }));
  const all = makeObservations(blocks);
  const { ratio, cos, sin } = findCovariance(all, passSpacing, { tilt: TILT, hasDirection: true })!.params;
  expect(ratio).toBeGreaterThan(1.5);
  // Along the ditch: bearing 60 degrees.
  near(Math.abs(cos * Math.sin(Math.PI / 3) + sin * Math.cos(Math.PI / 3)), 1, 0.08);
  expect(findCovariance(all, passSpacing, { tilt: TILT, hasDirection: false })!.params.ratio).toBe(1);
});

test('a robust quadratic is exact on quadratics despite a few spikes', () => {
  const soundings = surveyOf((e, n) => 9 + 0.04 * e - 0.02 * n + 0.0006 * e * e, { noise: 0 });
  const depth = soundings.depth.map((d, i) => (i % 41 === 0 ? 3 * d : d));
  const { coefficients } = fitRobustQuadratic({ ...soundings, depth }, 45)!;
  near(coefficients[0], 9, 0.02);
  near(coefficients[1], 0.04, 0.002);
  near(coefficients[2], -0.02, 0.002);
});

test('blocks are 5 m long where passes are at least 14 m apart, and longer where passes are closer or soundings sparser', () => {
  const longest = (spacing: number, step: number) => {
    const { blocks } = blockSoundings(surveyOf(() => 5, { spacing, step, wander: 0 }));
    const inner = (i: number) => Math.hypot(blocks.east[i], blocks.north[i]) < 40;
    return Array.from({ length: blocks.count }, (_, i) => i)
      .filter((i) => i > 0 && inner(i) && inner(i - 1) && blocks.leg[i] === blocks.leg[i - 1])
      .reduce(
        (most, i) =>
          Math.max(
            most,
            Math.hypot(blocks.east[i] - blocks.east[i - 1], blocks.north[i] - blocks.north[i - 1]),
          ),
        0,
      );
  };
  expect(longest(15.5, 1)).toBeLessThan(6.5);
  expect(longest(11.5, 1)).toBeGreaterThan(7);
  expect(longest(15.5, 4)).toBeGreaterThan(7);
});

/** Returns the survey with its pass nearest to the mark a meter too deep. */
function withNearestPassOff(survey: LocalSoundings): LocalSoundings {
  const { east, north, pass } = survey;
  const near = Array.from(east, (e, i) => Math.hypot(e, north[i])).reduce(
    (best, r, i, all) => (r < all[best] ? i : best),
    0,
  );
  return { ...survey, depth: survey.depth.map((d, i) => (pass[i] === pass[near] ? d + 1 : d)) };
}

test('a pass that reads a meter too deep hardly changes the slope', () => {
  const depth = (e: number, n: number) => 6 + 0.05 * e + 1.5 * Math.sin(n / 25);
  const survey = surveyOf(depth, { spacing: 15, noise: 0.1, seed: 3 });
  const off = withNearestPassOff(survey);
  const slopeOf = (soundings: LocalSoundings) => modelBottom(soundings, 0, 0).slope ?? Number.NaN;
  near(slopeOf(survey), (Math.atan(Math.hypot(0.05, 1.5 / 25)) * 180) / Math.PI, 0.5);
  near(slopeOf(off), slopeOf(survey), 0.4);
});
