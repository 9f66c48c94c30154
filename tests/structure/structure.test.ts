import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import { simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { CELL_SIZE, GRID_SIZE, HALF } from '../../shared/bottom/lattice.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { findCrests } from '../../shared/structure/features/crest.ts';
import { findEdge } from '../../shared/structure/features/edge.ts';
import { FEATURE_NAMES, structureFeatures } from '../../shared/structure/features/features.ts';
import { makeHeightField } from '../../shared/structure/features/height-field.ts';
import { findRise } from '../../shared/structure/features/prominence.ts';
import { parseTable, scoreWords } from '../../shared/structure/score.ts';
import { support } from '../../shared/structure/stated-height.ts';
import { findStructure } from '../../shared/structure/structure.ts';
import { describeStructure } from '../../shared/structure/structure-account.ts';
import { STRUCTURE_TABLE } from '../../shared/structure/structure-table.ts';
import { near } from '../bottom/near.ts';
import { surveyOf } from '../bottom/survey-of.ts';
import { reference } from '../reference.ts';

const latticeOf = (depth: (east: number, north: number) => number) =>
  Float64Array.from({ length: GRID_SIZE ** 2 }, (_, i) =>
    depth(((i % GRID_SIZE) - HALF) * CELL_SIZE, (Math.floor(i / GRID_SIZE) - HALF) * CELL_SIZE),
  );

const SUPPORTED = new Uint8Array(GRID_SIZE ** 2).fill(1);

const VECTORS = reference('structure-vectors.json');

test('features agree with twelve reference grids', () => {
  interface Vectors {
    readonly features: readonly string[];
    readonly cases: readonly { S: number; sd24: number; sd60: number; grid: number[]; features: number[] }[];
  }
  const vectors = JSON.parse(readFileSync(VECTORS, 'utf8')) as Vectors;
  expect(vectors.features).toEqual(FEATURE_NAMES);
  for (const expected of vectors.cases) {
    const depth = Float64Array.from(expected.grid, (z) => -z);
    const uncertainty = { passSpacing: expected.S, sd24: expected.sd24, sd60: expected.sd60 };
    const { values } = structureFeatures(depth, uncertainty);
    for (const [i, value] of values.entries()) near(value, expected.features[i], 2e-3);
  }
});

const WEIGHTS = reference('structure-weights.csv');

test('scores agree with the reference table and grids', () => {
  const [, ...lines] = readFileSync(WEIGHTS, 'utf8').trim().split('\n');
  const rows = lines.map((line) => line.split(','));
  const last = rows[rows.length - 1];
  // The intercept row has no mean or standard deviation.
  const text = [...rows.slice(0, -1), ['intercept', '0', '1', ...last.slice(-STRUCTURE_WORDS.length)]]
    .map((row) => row.join(' '))
    .join('\n');
  const table = parseTable(text);
  const { cases } = JSON.parse(readFileSync(VECTORS, 'utf8')) as {
    cases: { features: number[]; prob: number[] }[];
  };
  for (const expected of cases) {
    const found = scoreWords(table, Float64Array.from(expected.features));
    for (const [w, p] of found.entries()) near(p, expected.prob[w], 5e-3);
  }
});

describe('features of surfaces with known values', () => {
  test('prominence of a hump is its height above the lowest closed isobath', () => {
    // A cone 4 m high on level ground: the closed isobaths end at the ground.
    const field = makeHeightField(latticeOf((e, n) => 10 - Math.max(0, 4 - Math.hypot(e - 12, n) / 8)));
    const rise = findRise(field.raw, 1);
    near(rise.prominence, 4, 0.01);
    expect(rise.top).toBe(HALF * GRID_SIZE + HALF + 2);
    near(findRise(makeHeightField(latticeOf((e) => 10 + 0.1 * e)).raw, 1).prominence, 0, 0.61);
  });

  test('a crest has its height above the bottom 32 m to its sides, and continues both ways', () => {
    // A roof with slopes of 0.1 along a line 30 degrees from east.
    const cos = Math.cos(Math.PI / 6);
    const across = (e: number, n: number) => Math.abs(n * cos - e * 0.5);
    const [crest] = findCrests(makeHeightField(latticeOf((e, n) => 5 + 0.1 * across(e, n))));
    // Smoothing over one cell rounds off the sharp top.
    near(crest.start, 3.2, 0.4);
    near(Math.abs(crest.axisEast * cos + crest.axisNorth * 0.5), 1, 1e-6);
    for (const way of crest.ways) {
      near(way.least[7], 3.2, 0.5);
      near(way.rise[7], 0, 0.2);
    }
  });

  test('an edge lies on the face and faces downslope', () => {
    // A face 30 m wide at 20 degrees that faces south, 10 m north of the mark.
    const fall = Math.tan((20 * Math.PI) / 180);
    const face = (_: number, n: number) => 5 + fall * Math.min(30, Math.max(0, 25 - n));
    const edge = findEdge(makeHeightField(latticeOf(face)));
    near(edge.slope, 20, 0.5);
    near(edge.downEast, 0, 1e-6);
    near(edge.downNorth, -1, 1e-6);
    near(edge.shelf, 0, 2);
    near(edge.toe, 0, 2);
  });
});

describe('words', () => {
  const table = parseTable(STRUCTURE_TABLE);

  test('probabilities are positive and add up to one', () => {
    const p = scoreWords(table, table.mean);
    expect(Math.min(...p)).toBeGreaterThan(0);
    near(
      p.reduce((a, b) => a + b),
      1,
      1e-12,
    );
  });

  test('words hardly depend on the direction of the grid', () => {
    const wordsOf = (depth: (east: number, north: number) => number) => {
      const sd = new Float64Array(GRID_SIZE ** 2).fill(0.1);
      const grid = {
        size: GRID_SIZE,
        cellSize: CELL_SIZE,
        depth: latticeOf(depth),
        sd,
        supported: SUPPORTED,
        range: 20,
      };
      const model = {
        status: 'ok',
        lat: 0,
        lon: 0,
        passSpacing: 25,
        soundings: 900,
        depth: 5,
        depthSd: 0.1,
        support: sd,
      };
      return findStructure({ ...model, status: 'ok', grid, interval: [4.8, 5.2] })!.probabilities;
    };
    const [cos, sin] = [Math.cos(Math.PI / 6), Math.sin(Math.PI / 6)];
    const moved = Array.from({ length: 48 }, (_, i) => {
      const { depth } = makeBottom(STRUCTURE_WORDS[i % 12], { seed: 31 + i, relief: 0.3 });
      const turned = wordsOf((east, north) => depth(cos * east - sin * north, sin * east + cos * north));
      return wordsOf(depth).reduce((sum, p, k) => sum + Math.abs(p - turned[k]) / 2, 0);
    });
    expect(moved.reduce((sum, share) => sum + share / moved.length, 0)).toBeLessThan(0.015);
  });

  test('the support of a reason grows with the height that it states', () => {
    const uncertainty = { passSpacing: 25, sd24: 0.1, sd60: 0.1 };
    const ofHump = (height: number): number =>
      support(
        'hump',
        structureFeatures(
          latticeOf((e, n) => 9 - height * Math.exp(-(e * e + n * n) / (2 * 25 ** 2))),
          uncertainty,
        ),
      );
    expect(ofHump(0.35)).toBe(0);
    near(ofHump(0.52), 0.5, 0.15);
    expect(ofHump(0.8)).toBe(1);
    const even = structureFeatures(
      latticeOf((_, n) => 20 + 0.1 * n),
      uncertainty,
    );
    expect(support('ledge', even)).toBe(0);
    expect(support('slope', even)).toBe(1);
  });

  test('a table with different features is refused', () => {
    expect(() => parseTable(STRUCTURE_TABLE.replace('slope9', 'slope8'))).toThrow('fit again');
  });

  test.each(STRUCTURE_WORDS.map((word) => [word]))('most marks on a %s get that word', (word) => {
    let right = 0;
    for (let seed = 0; seed < 12; seed++) {
      const bottom = makeBottom(word, { seed: 330_000 + seed });
      const model = modelBottom(simulateSurvey(bottom, { seed, spacing: 25, radius: 122 }), 0, 0);
      if (findStructure(model)?.word === word) right++;
    }
    expect(right).toBeGreaterThanOrEqual(9);
  });

  test('two degrees separate slope and flat', () => {
    for (const [degrees, word] of [
      [1.4, 'flat'],
      [2.8, 'slope'],
    ] as const) {
      const fall = Math.tan((degrees * Math.PI) / 180);
      const found = findStructure(
        modelBottom(
          surveyOf((_, n) => 9 + fall * n),
          0,
          0,
        ),
      );
      expect(found?.word).toBe(word);
      expect(found?.confidence).toBeGreaterThan(0.8);
    }
  });

  test('one pass gives no word', () => {
    expect(
      findStructure(
        modelBottom(
          surveyOf((e) => 5 + 0.05 * e, { single: true }),
          0,
          0,
        ),
      ),
    ).toBeUndefined();
  });

  test('relief that the soundings cannot show keeps confidence low', () => {
    const ripple = (e: number, n: number) => 6 - 0.15 * Math.exp(-(e * e + n * n) / (2 * 15 ** 2));
    const found = findStructure(modelBottom(surveyOf(ripple, { noise: 0.1 }), 0, 0))!;
    if (found.word !== 'flat' && found.word !== 'slope') expect(found.confidence).toBeLessThanOrEqual(0.5);
  });
});

describe('descriptions', () => {
  const accountOf = (depth: (e: number, n: number) => number, units: 'ft' | 'm' = 'm') => {
    const found = findStructure(modelBottom(surveyOf(depth, { spacing: 20 }), 0, 0))!;
    return { word: found.word, ...describeStructure(found, units) };
  };
  const hump = (east: number) => (e: number, n: number) =>
    9 - 3 * Math.exp(-((e - east) ** 2 + n ** 2) / (2 * 18 ** 2));

  test('a hump has its size at half height, the part that the mark is on, and a reason', () => {
    const top = accountOf(hump(0));
    expect(top.word).toBe('hump');
    // Full width of a Gaussian at half its height: 2.355 standard deviations.
    near(top.size!, 42, 8);
    expect(top.part).toBe('top');
    expect(top.reason).toMatch(/^higher than the ground all around, [23]\.\d m$/);
    expect(accountOf(hump(0), 'ft').reason).toMatch(/^higher than the ground all around, (9|10) ft$/);
    expect(['side', 'upper edge']).toContain(accountOf(hump(20)).part);
  });

  test('the part of a ledge follows the mark down the face', () => {
    const ledge = (at: number) => (_: number, n: number) => 6 + 4 / (1 + Math.exp((n - at) / 5));
    expect(accountOf(ledge(0)).part).toBe('side');
    expect(['upper edge', 'top']).toContain(accountOf(ledge(-12)).part);
    expect(['base', 'side']).toContain(accountOf(ledge(12)).part);
    expect(accountOf(ledge(0)).reason).toContain('drop');
  });

  test('a flat has neither size nor part', () => {
    const flat = accountOf(() => 7);
    expect(flat.size).toBeUndefined();
    expect(flat.part).toBeUndefined();
  });
});
