import { describe, expect, test } from 'vitest';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import type { Soundings } from '../../shared/contract/index.ts';
import { localFrame } from '../../shared/geo/index.ts';
import { compareLakes } from '../../shared/lake/compare-lakes.ts';
import { findLakeAreas } from '../../shared/lake/lake-areas.ts';
import { lakeBottom } from '../../shared/lake/lake-bottom.ts';
import { formsOfLake } from '../../shared/lake/lake-forms.ts';
import { atPlace, type LakeGrid, makeLakeGrid } from '../../shared/lake/lake-grid.ts';
import { findLakeLines, type LakeLine } from '../../shared/lake/lake-lines.ts';
import { placeOnLake } from '../../shared/lake/lake-place.ts';
import { nextPasses } from '../../shared/lake/next-passes.ts';
import { placeWords } from '../../shared/lake/place-words.ts';
import { wordOnLake } from '../../shared/structure/index.ts';

const frame = localFrame(37, -86);
type Depth = (east: number, north: number) => number;

function sounded(depth: Depth, spacing = 20, heading = 90, seed = 5): Soundings {
  const local = simulateSurvey(
    { depth },
    { seed, spacing, radius: 130, heading, noise: 0.03, offset: 0.3, bias: 0.01 },
  );
  return toSoundings(local, 37, -86);
}

/** A bank 4 m deep, a face with its lip at 8 m west and its foot at 8 m east, and a floor 12 m deep. */
const ledge: Depth = (east) => 4 + 8 / (1 + Math.exp(-east / 6));
const hump: Depth = (east, north) => 10 - 5 * Math.exp(-(east ** 2 + north ** 2) / (2 * 25 ** 2));

/** Returns the soundings with transformed positions. */
function moved(soundings: Soundings, move: (east: number, north: number) => [number, number]): Soundings {
  const places = Array.from(soundings.lat, (lat, k) =>
    frame.toGeographic(...move(...frame.toLocal(lat, soundings.lon[k]))),
  );
  return {
    ...soundings,
    lat: Float64Array.from(places, ([lat]) => lat),
    lon: Float64Array.from(places, ([, lon]) => lon),
  };
}

const turned = (east: number, north: number): [number, number] => [
  0.8660254 * east - 0.5 * north,
  0.5 * east + 0.8660254 * north,
];
const quarterTurned = (east: number, north: number): [number, number] => [-north, east];
const mirrored = (east: number, north: number): [number, number] => [-east, north];

/** Returns the soundings with the passes in reverse order, each pass unchanged. */
function reordered(soundings: Soundings): Soundings {
  const order = [...soundings.lat.keys()].sort((a, b) => soundings.pass[b] - soundings.pass[a] || a - b);
  const of = <T extends Float64Array | Float32Array | Int32Array>(column: T): T =>
    column.map((_, k) => column[order[k]]) as T;
  return {
    ...soundings,
    lat: of(soundings.lat),
    lon: of(soundings.lon),
    depth: of(soundings.depth),
    pass: of(soundings.pass),
    weight: of(soundings.weight),
  };
}

const placesOf = (lines: readonly LakeLine[]): [number, number][] =>
  lines.flatMap(({ places }) => places.map(([lat, lon]) => frame.toLocal(lat, lon)));

describe('the lake does not depend on how it is given', () => {
  const lake = makeLakeGrid(sounded(ledge))!;
  const lines = findLakeLines(lake);

  test('passes in another order give an identical grid', () => {
    const other = makeLakeGrid(reordered(sounded(ledge)))!;
    expect(other.depth).toEqual(lake.depth);
    expect(other.draws).toEqual(lake.draws);
  });

  test.each<[string, (east: number, north: number) => [number, number]]>([
    ['turned by 30 deg', turned],
    ['turned by 90 deg', quarterTurned],
    ['mirrored', mirrored],
  ])('%s: the same lines within half a node', (_, move) => {
    const other = findLakeLines(makeLakeGrid(moved(sounded(ledge), move))!);
    for (const kind of ['lip', 'foot'] as const) {
      const [own, theirs] = [lines, other].map((all) => placesOf(all.filter((line) => line.kind === kind)));
      const near = own.map((at) => {
        const [east, north] = move(...at);
        // Places of a line are a node apart, so the nearest may be half a node away along the line.
        return Math.min(...theirs.map(([e, n]) => Math.hypot(e - east, n - north))) <= Math.hypot(2.5, 2.5);
      });
      expect(near.filter((isNear) => isNear).length / near.length).toBeGreaterThan(0.95);
    }
  });
});

describe('line, area and word at a place are the same however the lake is given', () => {
  /** A ledge with a bar on its floor. The bar is long because a round top has no definite crest. */
  const both: Depth = (east, north) =>
    ledge(east, north) - 3.5 * Math.exp(-((east - 70) ** 2) / 300 - north ** 2 / 3200);
  const lakeOf = (soundings: Soundings) => {
    const grid = makeLakeGrid(soundings)!;
    const forms = formsOfLake(grid);
    return lakeBottom(grid, findLakeLines(grid, forms), findLakeAreas(grid, forms));
  };
  /** Surveys of `both` with different passes. In each, a few places are near a limit between two answers. */
  const surveys = [1, 2, 3].map((seed) => sounded(both, 20, 90, seed));
  const places = [-60, -24, -8, 8, 24, 45, 70, 95].flatMap((east) =>
    [-50, -25, 0, 25, 50].map((north): [number, number] => [east, north]),
  );
  const same = (east: number, north: number): [number, number] => [east, north];
  /** Returns line, area and word at the places, which are moved with the lake. */
  const answersOf = (soundings: Soundings, move = same) => {
    const lake = lakeOf(soundings);
    return places.map((place) => {
      const at = frame.toGeographic(...move(...place));
      return { ...placeOnLake(lake, ...at)!, word: wordOnLake(lake, ...at) };
    });
  };
  const given = surveys.map((soundings) => answersOf(soundings));

  test.each<
    [string, (given: Soundings) => Soundings, (east: number, north: number) => [number, number], number]
  >([
    ['passes in another order', reordered, same, 1],
    ['turned by 30 deg', (soundings) => moved(soundings, turned), turned, 0.9],
    ['turned by 90 deg', (soundings) => moved(soundings, quarterTurned), quarterTurned, 0.9],
    ['mirrored', (soundings) => moved(soundings, mirrored), mirrored, 0.9],
  ])('%s', (_, change, move, share) => {
    const alike = surveys.flatMap((soundings, k) =>
      answersOf(change(soundings), move).map((theirs, i) => {
        const own = given[k][i];
        const apart = Math.abs((own.line?.distance ?? 0) - (theirs.line?.distance ?? 0));
        return (
          own.area === theirs.area &&
          own.line?.kind === theirs.line?.kind &&
          own.word === theirs.word &&
          apart <= 2.5
        );
      }),
    );
    expect(alike.filter((isAlike) => isAlike).length / alike.length).toBeGreaterThanOrEqual(share);
  });
});

describe('place of a waypoint on the lake', () => {
  const grid = makeLakeGrid(sounded(ledge))!;
  const forms = formsOfLake(grid);
  const lake = lakeBottom(grid, findLakeLines(grid, forms), findLakeAreas(grid, forms));
  const at = (east: number) => placeOnLake(lake, ...frame.toGeographic(east, 10))!;

  test.each([
    [-24, 'lip', 'above', 16],
    [28, 'foot', 'below', 20],
  ])('a place %i m east of a face is near its %s, %s it', (east, kind, side, distance) => {
    const { line } = at(east);
    expect([line?.kind, line?.side]).toEqual([kind, side]);
    // Lines are accurate to 8 m.
    expect(Math.abs(line!.distance - distance)).toBeLessThan(8);
  });

  test('has the side "on" at a place on a line', () => {
    for (const { kind, places } of lake.lines)
      expect(placeOnLake(lake, ...places[places.length >> 1])?.line).toMatchObject({ kind, side: 'on' });
  });

  test("is described in an angler's words", () => {
    expect(placeWords(at(-18), 'ledge', 'ft')).toMatch(
      /^on the bank, \d\d ft back from the lip of a ledge(, on a flat)?$/,
    );
    const far = { kind: 'lip', distance: 16, side: 'above', isInferred: false } as const;
    expect(placeWords({ line: far, area: 'flat' }, 'flat', 'ft')).toBe('on a flat');
    expect(placeWords({ area: 'hump' }, undefined, 'ft')).toBe('on a hump');
    expect(placeWords({}, 'slope', 'ft')).toBeUndefined();
    const line = { kind: 'crest', distance: 6.1, side: 'beside', isInferred: true } as const;
    expect(placeWords({ line }, 'point', 'm')).toBe(
      '6 m from the crest of a point (drawn between passes: no pass saw it)',
    );
  });

  test('is unknown beyond sounded water', () => {
    expect(placeOnLake(lake, 37.02, -86)).toBeUndefined();
  });

  test('has the area "hump" on top of a hump but not beside it', () => {
    const round = makeLakeGrid(sounded(hump))!;
    const found = formsOfLake(round);
    const whole = lakeBottom(round, findLakeLines(round, found), findLakeAreas(round, found));
    expect(placeOnLake(whole, 37, -86)?.area).toBe('hump');
    expect(placeOnLake(whole, ...frame.toGeographic(110, 0))?.area).not.toBe('hump');
  });
});

describe('where to scan next', () => {
  const grid = makeLakeGrid(sounded(ledge, 40))!;
  const line = (north: number, isInferred: boolean): LakeLine => ({
    kind: 'lip',
    places: Array.from({ length: 11 }, (_, k) => frame.toGeographic(-50 + 10 * k, north)),
    length: 100,
    depth: 5,
    shallowest: 5,
    deepest: 5,
    sure: isInferred ? 0.3 : 0.9,
    isInferred,
  });
  /** Northing midway between two passes, m. */
  const hidden = Array.from({ length: 41 }, (_, k) => k - 20).find((north) =>
    [-40, 0, 40].every((east) => atPlace(grid, grid.distance, ...frame.toGeographic(east, north)) > 12),
  )!;

  test('is one pass along a line that no pass crossed, 25 m longer at both ends', () => {
    const [pass, ...more] = nextPasses(grid, [line(hidden, true)], []);
    expect(more).toEqual([]);
    expect([pass.lines, pass.forms]).toEqual([['lip'], []]);
    expect(pass.inferred).toBeGreaterThan(90);
    for (const end of [pass.from, pass.to])
      expect(Math.abs(frame.toLocal(...end)[1] - hidden)).toBeLessThan(8);
    expect(Math.abs(pass.length - 150)).toBeLessThan(8);
  });

  test('is nowhere if the lines are known', () => {
    expect(nextPasses(grid, [line(hidden, false)], [])).toEqual([]);
  });

  test('is only near places of interest if there are any, and at those places while they are uncertain', () => {
    const placeAt = (north: number, sure: number) => {
      const [lat, lon] = frame.toGeographic(0, north);
      return { lat, lon, sure };
    };
    const lines = [line(hidden, true)];
    expect(nextPasses(grid, lines, [], [placeAt(hidden + 150, 0.9)])).toEqual([]);
    const [beside] = nextPasses(grid, lines, [], [placeAt(hidden, 0.9)]);
    expect([beside.lines, beside.places]).toEqual([['lip'], []]);
    const [through] = nextPasses(grid, [], [], [placeAt(hidden, 0.4)]);
    expect([through.lines, through.places, through.inferred]).toEqual([[], [0], 0]);
  });
});

describe('one day compared with the days before', () => {
  const part = (soundings: Soundings, keep: (east: number, north: number) => boolean): Soundings => {
    const rows = [...soundings.lat.keys()].filter((k) =>
      keep(...frame.toLocal(soundings.lat[k], soundings.lon[k])),
    );
    return {
      ...soundings,
      count: rows.length,
      lat: Float64Array.from(rows, (k) => soundings.lat[k]),
      lon: Float64Array.from(rows, (k) => soundings.lon[k]),
      depth: Float32Array.from(rows, (k) => soundings.depth[k]),
      pass: Int32Array.from(rows, (k) => soundings.pass[k]),
      weight: Float32Array.from(rows, (k) => soundings.weight[k]),
    };
  };
  const flat = sounded(() => 8);
  const before = makeLakeGrid(part(flat, (east) => east < 0))!;
  const areaOf = ({ depth, cell }: LakeGrid): number =>
    depth.filter((value) => !Number.isNaN(value)).length * cell ** 2;

  test('newly sounded area is counted, and an even floor has not changed', () => {
    const after = makeLakeGrid(flat)!;
    const found = compareLakes(before, after);
    expect(Math.abs(found.added / (areaOf(after) - areaOf(before)) - 1)).toBeLessThan(0.05);
    expect([found.changed, found.disagreeing]).toEqual([[], []]);
  });

  test('soundings 2 m deeper than those of the day before disagree where both days have passes', () => {
    const deeper = makeLakeGrid({ ...flat, depth: flat.depth.map((depth) => depth + 2) })!;
    const [most] = compareLakes(before, deeper).disagreeing;
    expect(most.deeper).toBeCloseTo(2, 0);
  });
});
