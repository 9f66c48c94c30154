import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { emptyPath, type RetrievePath } from '../../shared/retrieve/path.ts';
import { type RetrieveSetup, simulateRetrieve, workspace } from '../../shared/retrieve/retrieve.ts';
import { greatestDepth } from '../../shared/retrieve/touch.ts';
import { reference } from '../reference.ts';
import { profileOf, touchOf } from './path-measures.ts';

// 100 random cases of the full flexible-line model, computed outside this project.
const file = reference('retrieve-full-model.csv');
const SHARES = [0.9, 0.7, 0.5, 0.3, 0.1];

interface Case {
  readonly setup: RetrieveSetup;
  readonly bottom: (distance: number) => number;
  readonly greatest: number;
  readonly depths: readonly number[];
  readonly first: number;
  readonly last: number;
  readonly contact: number;
}

const cases = (): Case[] =>
  readFileSync(file, 'utf8')
    .trim()
    .split('\n')
    .slice(1)
    .map((row) => {
      const v = row.split(',').map((text) => (text === '' ? Number.NaN : Number(text)));
      return {
        setup: {
          cast: v[4],
          line: { diameter: v[5] / 1000, density: 1780 },
          lure: { liftToDrag: v[2], dragArea: v[3] / 1e4 },
          handling: { tipHeight: v[6], speed: 1.5, friction: 0.2 },
        },
        bottom: (distance: number) => v[7] + v[8] * distance,
        greatest: v[9],
        depths: v.slice(11, 16),
        first: v[16],
        last: v[17],
        contact: v[18],
      };
    });

function depthOn(path: RetrievePath, distance: number): number {
  for (let i = 1; i < path.count; i++) {
    if (path.distance[i] > distance) continue;
    const share = (path.distance[i - 1] - distance) / (path.distance[i - 1] - path.distance[i]);
    return path.depth[i - 1] + share * (path.depth[i] - path.depth[i - 1]);
  }
  return path.depth[path.count - 1];
}

const rootMeanSquare = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

describe('reduced model against 100 cases of the full model', () => {
  const path = emptyPath();
  const work = workspace();

  it('reaches the greatest depth within 1.5 %', () => {
    for (const { setup, greatest } of cases()) {
      simulateRetrieve(setup, undefined, 0.5, path, work);
      expect(Math.abs(greatestDepth(path) / greatest - 1)).toBeLessThan(0.015);
    }
  });

  it('follows the path within 2 % of the greatest depth', () => {
    for (const { setup, greatest, depths } of cases()) {
      simulateRetrieve(setup, undefined, 0.5, path, work);
      SHARES.forEach((share, i) => {
        expect(Math.abs(depthOn(path, share * setup.cast) - depths[i]) / greatest).toBeLessThan(0.02);
      });
    }
  });

  it('has the first and the last touch within 0.5 m rms, and agrees in 99 of 100 cases on touching at all', () => {
    const first: number[] = [];
    const last: number[] = [];
    let agreeing = 0;
    for (const one of cases()) {
      simulateRetrieve(one.setup, profileOf(one.bottom, 60), 0.5, path, work);
      const touch = touchOf(path);
      if ((touch !== undefined) === one.contact > 0) agreeing++;
      if (touch === undefined || one.contact === 0) continue;
      first.push(touch.first - one.first);
      last.push(touch.last - one.last);
    }
    expect(agreeing).toBeGreaterThanOrEqual(99);
    expect(rootMeanSquare(first)).toBeLessThan(0.5);
    expect(rootMeanSquare(last)).toBeLessThan(0.5);
  });
});
