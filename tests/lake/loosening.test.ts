import { describe, expect, test } from 'vitest';
import { random } from '../../fixtures/lakes/random.ts';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import type { Bins } from '../../shared/lake/bins.ts';
import { atPlace, makeLakeGrid } from '../../shared/lake/lake-grid.ts';
import { findLooseness, holdOut } from '../../shared/lake/loosening.ts';
import type { PlacedLattice } from '../../shared/lake/place-lattice.ts';

const frame = localFrame(37, -86);

const nodes = (value: number) => new Float64Array(400).fill(value);
/** Bending that is the same everywhere, on level ground. */
const even = { uu: nodes(1e-6), vv: nodes(1e-6), uv: nodes(1e-6), direction: nodes(0), slope: nodes(0) };
const none = surveyOf(0, () => 0);

describe('how loose the sheet of the lake is', () => {
  test('errors twice as large as the draws say need four times their variance', () => {
    const source = random(1);
    const left = surveyOf(4000, () => 2 * source.normal());
    const bottoms = [0, 1, -1].map((depth) => new Float32Array(400).fill(depth));
    // The variance grows as looseness^0.9, and the looseness is rounded to steps of sqrt(2).
    const looseness = findLooseness({ kept: none, left }, bottoms, even);
    expect(Math.abs(Math.log2(looseness) - Math.log2(4) / 0.9)).toBeLessThanOrEqual(0.5);
  });

  test('fewer than 40 depths left out do not change the looseness', () => {
    const bottoms = [0, 1, -1].map((depth) => new Float32Array(400).fill(depth));
    expect(findLooseness({ kept: none, left: surveyOf(39, () => 9) }, bottoms, even)).toBe(1);
  });

  test('an error that the kept depths of the pass show too counts less', () => {
    const bottoms = [0, 0.05, -0.05].map((depth) => new Float32Array(400).fill(depth));
    const off = (count: number) => surveyOf(count, () => 0.2);
    const [alone, shown] = [none, off(2000)].map((kept) =>
      findLooseness({ kept, left: off(400) }, bottoms, even),
    );
    expect(shown).toBeLessThan(alone);
  });

  test('a quarter of the ground is left out, and the same quarter for any order of depths', () => {
    const { laid, bins } = surveyOf(400, (k) => k);
    const { kept, left } = holdOut(laid, bins);
    expect(kept.bins.count + left.bins.count).toBe(400);
    expect(left.bins.count / 400).toBeCloseTo(0.25, 1);
    const reversed = surveyOf(400, (k) => k, true);
    const again = holdOut(reversed.laid, reversed.bins).left.bins.depth;
    expect(again.toSorted()).toEqual(left.bins.depth.toSorted());
  });

  test.each([
    ['a smooth floor', (e: number, n: number) => 10 + 0.01 * e + 0.3 * Math.sin(n / 30), 0.04, 0.1],
    ['broken ground', (e: number, n: number) => 10 + 1.5 * Math.sin(e / 14) * Math.cos(n / 17), 0.15, 0.8],
  ])('stated intervals hold on %s', (_, depth, least, most) => {
    const grid = makeLakeGrid(
      toSoundings(simulateSurvey({ depth }, { seed: 3, spacing: 25, radius: 200, heading: 20 }), 37, -86),
    )!;
    const found = [...Array(400).keys()].map((k) => {
      const [east, north] = [-133 + 14 * (k % 20), -133 + 14 * Math.floor(k / 20)];
      const [lat, lon] = frame.toGeographic(east, north);
      return {
        error: Math.abs(atPlace(grid, grid.depth, lat, lon) - depth(east, north)),
        sd: atPlace(grid, grid.sd, lat, lon),
      };
    });
    const inside = found.filter(({ error, sd }) => error <= 1.96 * sd).length / found.length;
    expect(inside).toBeGreaterThan(0.88);
    expect(inside).toBeLessThan(0.995);
    const median = found.map(({ sd }) => sd).toSorted((a, b) => a - b)[200];
    expect(median).toBeGreaterThan(least);
    expect(median).toBeLessThan(most);
  });
});

/** Makes depths at nodes of a lattice of 20 by 20 nodes, 10 m apart. */
function surveyOf(
  count: number,
  depthAt: (k: number) => number,
  isReversed = false,
): { laid: PlacedLattice; bins: Bins } {
  const order = Array.from({ length: count }, (_, k) => (isReversed ? count - 1 - k : k));
  const of = (value: (k: number) => number): Float64Array => Float64Array.from(order, value);
  const [x, y] = [of((k) => k % 20), of((k) => Math.floor(k / 20) % 20)];
  return {
    laid: {
      lattice: { columns: 20, rows: 20, cell: 10 },
      axis: 0,
      column0: 0,
      row0: 0,
      nodes: { x, y },
    },
    bins: {
      count,
      east: x,
      north: y,
      depth: of(depthAt),
      variance: of(() => 0.01),
      pass: new Int32Array(count),
    },
  };
}
