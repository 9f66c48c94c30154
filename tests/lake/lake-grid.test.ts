import { describe, expect, test } from 'vitest';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { findLakeAreas } from '../../shared/lake/lake-areas.ts';
import { atPlace, LAKE_GRID, makeLakeGrid } from '../../shared/lake/lake-grid.ts';
import { findLakeLines, type LakeLine } from '../../shared/lake/lake-lines.ts';
import { formatAsciiGrid, inDegrees } from '../../src/formats/layers/ascii-grid.ts';
import { isobathLayer } from '../../src/formats/layers/lake-files.ts';

const frame = localFrame(37, -86);
type Depth = (east: number, north: number) => number;

function sounded(depth: Depth, heading = 0, radius = 150) {
  const local = simulateSurvey(
    { depth },
    { seed: 5, spacing: 20, radius, heading, noise: 0.03, offset: 0.3, bias: 0.01 },
  );
  return toSoundings(local, 37, -86);
}
const gridOf = (depth: Depth, heading = 0) => makeLakeGrid(sounded(depth, heading))!;

/** A bank 4 m deep, a face down to 12 m centered at east 0 with a slope of 1 in 3, and a floor. */
const ledge: Depth = (east) => 4 + 8 / (1 + Math.exp(-east / 6));
const hump: Depth = (east, north) => 10 - 5 * Math.exp(-(east ** 2 + north ** 2) / (2 * 25 ** 2));
const ditch: Depth = (east) => 6 + 3 * Math.exp(-(east ** 2) / (2 * 12 ** 2));

describe('the lake grid', () => {
  test.each([0, 30, 90])(
    'a hump under passes at %i deg is accurate to 12 cm rms, and the stated intervals hold at 90 % of places',
    (heading) => {
      const grid = gridOf(hump, heading);
      const errors: number[] = [];
      let inside = 0;
      for (let east = -100; east <= 100; east += 20)
        for (let north = -100; north <= 100; north += 20) {
          const [lat, lon] = frame.toGeographic(east, north);
          const error = atPlace(grid, grid.depth, lat, lon) - hump(east, north);
          errors.push(error);
          if (Math.abs(error) <= 1.96 * atPlace(grid, grid.sd, lat, lon)) inside++;
        }
      expect(Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length)).toBeLessThan(
        0.12,
      );
      expect(inside / errors.length).toBeGreaterThan(0.9);
    },
  );

  test('has no depths beyond the reach of a sounding', () => {
    const grid = gridOf(hump);
    const [lat, lon] = frame.toGeographic(150 + LAKE_GRID.reach + 20, 0);
    expect(atPlace(grid, grid.depth, lat, lon)).toBeNaN();
    grid.distance.forEach((distance, k) => {
      expect(Number.isNaN(grid.depth[k])).toBe(distance > LAKE_GRID.reach);
    });
  });

  test('without soundings there is no lake', () => {
    const empty = sounded(hump);
    expect(makeLakeGrid({ ...empty, count: 0 })).toBeUndefined();
  });

  test('one sounding gives a lake of its depth', () => {
    const grid = makeLakeGrid({ ...sounded(() => 7), count: 1 })!;
    const [x, y] = [grid.columns >> 1, grid.rows >> 1];
    expect(grid.depth[y * grid.columns + x]).toBeCloseTo(7, 0);
  });

  test('soundings spread too far for one grid are refused', () => {
    const far = sounded(hump);
    far.lat[0] += 1;
    far.lon[0] += 1;
    expect(() => makeLakeGrid(far)).toThrow(RangeError);
  });
});

const ofKind = (lines: readonly LakeLine[], kind: LakeLine['kind']): LakeLine[] =>
  lines.filter((line) => line.kind === kind);
const eastOf = (line: LakeLine): number[] => line.places.map(([lat, lon]) => frame.toLocal(lat, lon)[0]);

describe('lines', () => {
  test('a ledge has one lip above its face and one foot below it, both along the face', () => {
    const lines = findLakeLines(gridOf(ledge, 90));
    const [lip] = ofKind(lines, 'lip');
    const [foot] = ofKind(lines, 'foot');
    // A logistic face bends most where its third derivative is 0, at 1.317 of its scale on both sides of the
    // middle.
    const bend = 6 * Math.log(2 + Math.sqrt(3));
    for (const east of eastOf(lip)) expect(Math.abs(east + bend)).toBeLessThan(8);
    for (const east of eastOf(foot)) expect(Math.abs(east - bend)).toBeLessThan(8);
    expect(lip.length).toBeGreaterThan(180);
    expect(lip.depth).toBeLessThan(foot.depth);
    expect(lip.sure).toBeGreaterThan(0.9);
    expect(lip.isInferred).toBe(false);
  });

  test('a ditch has a thalweg along its middle and no crest', () => {
    const lines = findLakeLines(gridOf(ditch, 90));
    expect(ofKind(lines, 'crest')).toEqual([]);
    const [thalweg] = ofKind(lines, 'thalweg');
    for (const east of eastOf(thalweg)) expect(Math.abs(east)).toBeLessThan(6);
    expect(thalweg.length).toBeGreaterThan(200);
  });

  test('a plane has no line', () => {
    expect(findLakeLines(gridOf((east) => 8 + 0.03 * east))).toEqual([]);
  });
});

describe('areas', () => {
  test('a hump is an area with its top and relief', () => {
    const [area, ...more] = findLakeAreas(gridOf(hump)).filter(({ kind }) => kind !== 'flat');
    expect(more).toEqual([]);
    expect(area.kind).toBe('hump');
    const [east, north] = frame.toLocal(...area.top);
    expect(Math.hypot(east, north)).toBeLessThan(8);
    expect(area.topDepth).toBeCloseTo(5, 0);
    expect(area.relief).toBeGreaterThan(3.5);
    expect(area.sure).toBe(1);
    const [ring] = area.rings;
    expect(ring[0]).toEqual(ring[ring.length - 1]);
  });

  test('a hole is an area too', () => {
    const [area] = findLakeAreas(gridOf((east, north) => 20 - hump(east, north)));
    expect(area.kind).toBe('hole');
  });

  test('a long bar is a ridge', () => {
    const bar: Depth = (east, north) =>
      9 - 4 * Math.exp(-(east ** 2) / (2 * 12 ** 2) - north ** 2 / (2 * 45 ** 2));
    const [area] = findLakeAreas(gridOf(bar));
    expect(area.kind).toBe('ridge');
  });

  test('an even floor is a flat', () => {
    const [area] = findLakeAreas(gridOf(() => 6));
    expect(area.kind).toBe('flat');
    expect(area.topDepth).toBeCloseTo(6, 0);
  });
});

describe('layers', () => {
  test('isobaths of a hump are at places of their depth', () => {
    const features = isobathLayer(gridOf(hump), 1, 'm');
    expect(new Set(features.map(({ properties }) => properties?.depth_m))).toContain(8);
    for (const { geometry, properties } of features) {
      if (geometry.type !== 'LineString') throw new Error('a line was expected');
      for (const [lon, lat] of geometry.coordinates)
        expect(Math.abs(hump(...frame.toLocal(lat, lon)) - properties?.depth_m)).toBeLessThan(0.5);
    }
  });

  test('the ASCII grid has the depths at their places, with rows from the north', () => {
    const grid = gridOf(ledge);
    const [ncols, nrows, x, y, cell, noData, ...rows] = formatAsciiGrid(inDegrees(grid, grid.depth), 2)
      .trimEnd()
      .split('\n');
    const number = (line: string): number => Number(line.split(' ')[1]);
    expect(rows).toHaveLength(number(nrows));
    expect(noData).toBe('NODATA_value -9999');
    let known = 0;
    rows.forEach((line, fromNorth) => {
      const values = line.split(' ').map(Number);
      expect(values).toHaveLength(number(ncols));
      const lat = number(y) + (number(nrows) - 1 - fromNorth) * number(cell);
      values.forEach((value, column) => {
        if (value === -9999) return;
        known++;
        const [east, north] = frame.toLocal(lat, number(x) + column * number(cell));
        if (Math.hypot(east, north) < 130) expect(Math.abs(value - ledge(east, north))).toBeLessThan(0.6);
      });
    });
    expect(known).toBeGreaterThan(2000);
  });
});
