import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import { geodesicInverse, wrapBearing } from '../../shared/geo/geodesic.ts';
import { reference } from '../reference.ts';

// The test lines in the package geographiclib-geodesic (Karney 2013, GeodTest), extracted from its test file.
const published = (() => {
  const file = createRequire(import.meta.url).resolve('geographiclib-geodesic/test/geodesictest.js');
  const text = readFileSync(file, 'utf8');
  const table = text.slice(text.indexOf('testcases = [') + 12, text.indexOf(']]') + 2);
  return JSON.parse(table) as number[][];
})();

const turn = (a: number, b: number) => Math.abs(((a - b + 540) % 360) - 180);

describe('geodesic', () => {
  it('reproduces the 20 test lines of GeographicLib', () => {
    expect(published.length).toBe(20);
    for (const [lat1, lon1, azi1, lat2, lon2, , s12] of published) {
      const inverse = geodesicInverse(lat1, lon1, lat2, lon2);
      expect(Math.abs(inverse.distance - s12)).toBeLessThan(1e-8);
      expect(turn(inverse.bearing, azi1)).toBeLessThan(1e-11);
    }
  });

  it('reproduces a published long line: 50.06632 -5.71475 to 58.64402 -3.07009, 969954.166 m', () => {
    // C. Veness, geodesy 2.4.0, Vincenty direct example (MIT); GeographicLib gives the same millimeter.
    const { distance, bearing } = geodesicInverse(50.06632, -5.71475, 58.64402, -3.07009);
    expect(distance).toBeCloseTo(969954.166, 3);
    expect(bearing).toBeCloseTo(9.1419, 4);
  });

  it('gives distance 0 and bearing 0 between a place and itself', () => {
    expect(geodesicInverse(45, -93, 45, -93)).toEqual({ distance: 0, bearing: 0 });
  });

  const file = reference('geodesic-short-range.csv');
  it('reproduces 100 lines of 5 to 400 m computed with GeographicLib', () => {
    for (const row of readFileSync(file, 'utf8').trim().split('\n').slice(1)) {
      const [lat1, lon1, azi1, s12, lat2, lon2] = row.split(',').map(Number);
      const { distance, bearing } = geodesicInverse(lat1, lon1, lat2, lon2);
      expect(distance).toBeCloseTo(s12, 7);
      // The sideways error, m, because rounded coordinates turn a short line more than a long one.
      expect(turn(bearing, azi1) * (Math.PI / 180) * s12).toBeLessThan(1e-6);
    }
  });
});

describe('wrapBearing', () => {
  it('brings any bearing into [0, 360)', () => {
    expect([0, 360, -1, 725, -360, -1e-15].map(wrapBearing)).toEqual([0, 0, 359, 5, 0, 0]);
  });
});
