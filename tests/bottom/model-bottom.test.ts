import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { makeBottom } from '../../fixtures/lakes/bottom.ts';
import { simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { depthAt } from './grid-values.ts';
import { near } from './near.ts';
import { surveyOf, turned } from './survey-of.ts';

const plane = (east: number, north: number) => 8 + 0.06 * east - 0.08 * north;
const hump = (east: number, north: number) =>
  9 - 3 * Math.exp(-((east - 22) ** 2 + north ** 2) / (2 * 22 ** 2));
const angle = (a: number, b: number) => Math.abs(((a - b + 540) % 360) - 180);

describe('known surfaces', () => {
  test('a plane gives its known depth, slope and aspect', () => {
    const model = modelBottom(surveyOf(plane), 0, 0);
    expect(model.status).toBe('ok');
    near(model.depth, 8, 0.03);
    near(model.slope!, (Math.atan(0.1) * 180) / Math.PI, 0.15);
    // Deeper toward (0.06, -0.08): 143.13 degrees.
    near(model.aspect!, 143.13, 1.5);
  });

  test('a Gaussian hump gives the depth and gradient of its flank', () => {
    const model = modelBottom(surveyOf(hump, { spacing: 20 }), 0, 0);
    const top = 3 * Math.exp(-(22 ** 2) / (2 * 22 ** 2));
    near(model.depth, 9 - top, 0.08);
    // d(depth)/d(east) at the mark: -top x 22 / 22^2.
    near(model.gradient![0], -top / 22, 0.015);
    near(model.gradient![1], 0, 0.015);
  });

  test('level ground has no aspect', () => {
    const model = modelBottom(
      surveyOf(() => 6),
      0,
      0,
    );
    expect(model.slope).toBeLessThan(0.5);
    expect(model.aspect).toBeUndefined();
  });
});

describe('properties', () => {
  test('turning the survey turns the aspect and keeps depth and slope', () => {
    const soundings = surveyOf(hump, { spacing: 22, noise: 0.05 });
    const base = modelBottom(soundings, 0, 0);
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 3 }), (quarters) => {
        const model = modelBottom(turned(soundings, 90 * quarters), 0, 0);
        near(model.depth, base.depth, 1e-6);
        near(model.slope!, base.slope!, 1e-5);
        near(angle(model.aspect!, base.aspect! + 90 * quarters), 0, 1e-3);
      }),
    );
  });

  test('turning the survey by 37 degrees changes the result little', () => {
    const soundings = surveyOf(hump, { spacing: 22, noise: 0.05 });
    const base = modelBottom(soundings, 0, 0);
    const model = modelBottom(turned(soundings, 37), 0, 0);
    near(model.depth, base.depth, 0.05);
    near(angle(model.aspect!, base.aspect! + 37), 0, 5);
  });

  test('shifting the water level shifts only the depth', () => {
    const soundings = surveyOf(hump, { noise: 0.05 });
    const base = modelBottom(soundings, 0, 0);
    const model = modelBottom({ ...soundings, depth: soundings.depth.map((d) => d + 2.5) }, 0, 0);
    near(model.depth, base.depth + 2.5, 1e-9);
    near(model.slope!, base.slope!, 1e-9);
  });

  test('the same soundings give the same model and are not modified', () => {
    const soundings = surveyOf(hump, { noise: 0.1 });
    const copy = structuredClone(soundings);
    expect(modelBottom(soundings, 1, 2)).toEqual(modelBottom(soundings, 1, 2));
    expect(soundings).toEqual(copy);
  });

  test('raw soundings and their weighted block means agree', () => {
    const raw = surveyOf(hump, { step: 0.5, noise: 0.1 });
    const blocks = { count: 0, east: [], north: [], depth: [], pass: [], weight: [] } as Record<
      string,
      number[] | number
    >;
    for (let i = 0; i < raw.count; i += 5) {
      const rows = [0, 1, 2, 3, 4]
        .map((k) => i + k)
        .filter((k) => k < raw.count && raw.pass[k] === raw.pass[i]);
      const mean = (column: Float64Array) => rows.reduce((sum, k) => sum + column[k], 0) / rows.length;
      for (const name of ['east', 'north', 'depth'] as const)
        (blocks[name] as number[]).push(mean(raw[name]));
      (blocks.pass as number[]).push(raw.pass[i]);
      (blocks.weight as number[]).push(rows.length);
      (blocks.count as number)++;
    }
    const a = modelBottom(raw, 0, 0);
    const b = modelBottom(blocks as unknown as typeof raw, 0, 0);
    near(a.depth, b.depth, 0.05);
    near(a.slope!, b.slope!, 0.5);
  });
});

describe('defects of logs', () => {
  const clean = modelBottom(surveyOf(hump, { noise: 0.05 }), 0, 0);

  test('remaining spikes of zero, half, double and triple depth hardly matter', () => {
    const soundings = surveyOf(hump, { noise: 0.05, spikes: 0.02, seed: 1 });
    const model = modelBottom(soundings, 0, 0);
    near(model.depth, clean.depth, 0.1);
    near(model.slope!, clean.slope!, 0.8);
  });

  test('a pass that reads half a meter too deep does not bend the bottom', () => {
    const soundings = surveyOf(plane, { noise: 0.05 });
    const nearest =
      soundings.pass[
        soundings.east.reduce(
          (best, e, i) =>
            Math.hypot(e, soundings.north[i]) < Math.hypot(soundings.east[best], soundings.north[best])
              ? i
              : best,
          0,
        )
      ];
    const depth = soundings.depth.map((d, i) => (soundings.pass[i] === nearest ? d + 0.5 : d));
    const model = modelBottom({ ...soundings, depth }, 0, 0);
    near(model.depth, 8, 0.2);
    near(model.slope!, 5.71, 0.8);
  });

  test('a thousand soundings from a boat at rest hardly matter', () => {
    const soundings = surveyOf(hump, { noise: 0.05 });
    const still = 1000;
    const grow = (column: ArrayLike<number>, value: (k: number) => number) =>
      Float64Array.from([...Array.from(column), ...Array.from({ length: still }, (_, k) => value(k))]);
    const pass = soundings.pass[soundings.count - 1] + 1;
    const model = modelBottom(
      {
        count: soundings.count + still,
        east: grow(soundings.east, (k) => 15 + Math.sin(k)),
        north: grow(soundings.north, (k) => 5 + Math.cos(1.7 * k)),
        depth: grow(soundings.depth, () => hump(15, 5) + 0.1),
        pass: grow(soundings.pass, () => pass),
      },
      0,
      0,
    );
    near(model.depth, clean.depth, 0.12);
    near(model.slope!, clean.slope!, 1);
  });

  test('positions 2 m ahead of the depths, on passes run both ways, hardly change slope and aspect', () => {
    const slope = (east: number, north: number) => 10 + 0.15 * east + 0 * north;
    const soundings = surveyOf(slope, { heading: 90, lag: 2, noise: 0.05 });
    const model = modelBottom(soundings, 0, 0);
    near(model.slope!, 8.53, 1);
    near(model.aspect!, 90, 6);
  });
});

describe('minimum data', () => {
  test('one pass, straight or winding, gives a depth but no slope', () => {
    for (const wander of [0, 2, 5]) {
      const model = modelBottom(surveyOf(hump, { single: true, wander }), 0, 0);
      expect(model.status).toBe('one-pass');
      expect(model.slope).toBeUndefined();
      expect(model.gradient).toBeUndefined();
      expect(Number.isFinite(model.depth)).toBe(true);
    }
  });

  test('passes on one side only have the status edge', () => {
    const all = surveyOf(plane, { heading: 0, spacing: 25 });
    const keep = Array.from({ length: all.count }, (_, i) => i).filter((i) => all.east[i] > 2);
    const take = (column: ArrayLike<number>) => keep.map((i) => column[i]);
    const model = modelBottom(
      {
        count: keep.length,
        east: take(all.east),
        north: take(all.north),
        depth: take(all.depth),
        pass: take(all.pass),
      },
      0,
      0,
    );
    expect(model.status).toBe('edge');
    const { size, cellSize, supported } = model.grid!;
    const middle = (size - 1) / 2;
    expect(supported[middle * size + middle - Math.round(40 / cellSize)]).toBe(0);
    expect(model.support[12]).toBeLessThan(0.4);
    expect(model.support[4]).toBeGreaterThan(0.9);
  });

  test.each([0, 1, 2, 5])('%i soundings have the status no data', (count) => {
    const column = Array.from({ length: count }, (_, i) => i);
    const model = modelBottom(
      { count, east: column, north: column, depth: column.map(() => 5), pass: column.map(() => 0) },
      0,
      0,
    );
    expect(model.status).toBe('no-data');
    expect(model.grid).toBeUndefined();
  });

  test('many soundings at one place give no slope', () => {
    const column = Array.from({ length: 500 }, () => 3);
    const model = modelBottom(
      { count: 500, east: column, north: column, depth: column, pass: column.map(() => 0) },
      0,
      0,
    );
    expect(model.slope).toBeUndefined();
  });

  test('passes 95 m apart over uneven bottom do not have the status ok', () => {
    const bottom = makeBottom('ridge', { seed: 77, second: [60, 70], roughness: 0.3 });
    const model = modelBottom(simulateSurvey(bottom, { seed: 5, spacing: 95, radius: 122 }), 0, 0);
    expect(['sparse', 'edge', 'one-pass']).toContain(model.status);
  });
});

describe('grid', () => {
  test('has the depth at the waypoint in its center', () => {
    const model = modelBottom(surveyOf(hump), 0, 0);
    near(depthAt(model.grid!, 0, 0), model.depth, 1e-6);
  });

  test('follows the bottom up to 50 m from the waypoint', () => {
    const model = modelBottom(surveyOf(hump, { spacing: 20 }), 0, 0);
    for (const [east, north] of [
      [30, 0],
      [-40, 20],
      [0, -50],
    ]) {
      near(depthAt(model.grid!, east, north), hump(east, north), 0.15);
    }
  });
});
