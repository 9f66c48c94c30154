import { describe, expect, test } from 'vitest';
import { findRuns } from '../../shared/bottom/blocks.ts';
import type { LocalSoundings } from '../../shared/bottom/local-rows.ts';
import { findSpikes } from '../../shared/bottom/noise.ts';

/** Rows along one northbound pass. @param step Distance between rows, m. */
function pass(depth: readonly number[], step = 3): LocalSoundings {
  return {
    count: depth.length,
    east: new Float64Array(depth.length),
    north: Float64Array.from(depth, (_, i) => i * step),
    depth: Float64Array.from(depth),
    pass: new Int32Array(depth.length),
  };
}

const spikesOf = (depth: readonly number[], step?: number): number[] => {
  const soundings = pass(depth, step);
  const spike = findSpikes(soundings, findRuns(soundings));
  return [...spike.keys()].filter((i) => spike[i] === 1);
};

describe('spikes of a pass', () => {
  test('one sounding of double depth is a spike', () => {
    expect(spikesOf([10, 10.1, 10.2, 20.4, 10.2, 10.3, 10.2])).toEqual([3]);
  });

  test('two or three soundings of triple depth in a row are spikes', () => {
    expect(spikesOf([10, 10.1, 30.6, 30.5, 10.2, 10.3, 10.2])).toEqual([2, 3]);
    expect(spikesOf([10, 10.1, 30.6, 30.5, 30.7, 10.2, 10.3, 10.2])).toEqual([2, 3, 4]);
  });

  test('a half depth and the triple depth next to it are both spikes', () => {
    expect(spikesOf([10, 10.1, 10, 5, 30.5, 10.2, 10.3, 10.2], 1)).toEqual([3, 4]);
  });

  test('a zero depth and the double depth next to it are both spikes', () => {
    expect(spikesOf([10, 10.1, 10, 0, 20.2, 10.2, 10.3, 10.2])).toEqual([3, 4]);
  });

  test('a hump 9 m wide with sides of 35 degrees is not a spike', () => {
    expect(spikesOf([10, 10.1, 10, 8, 6.2, 8.1, 10, 10.1, 10])).toEqual([]);
  });

  test('a wall with even ground on both sides is not a spike', () => {
    expect(spikesOf([5, 5.1, 5, 5, 12, 12.1, 12, 12.2, 12.1])).toEqual([]);
  });
});
