import { DOMParser } from '@xmldom/xmldom';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { knownWater, WATER, type WaterInput } from '../../shared/day/known-water.ts';
import { RunNetworks } from '../../shared/day/run-networks.ts';
import type { Run } from '../../shared/day/run-parts.ts';
import { isDrawn } from '../../shared/day/run-parts.ts';
import { RunTimes } from '../../shared/day/runs.ts';
import { geodesicInverse } from '../../shared/geo/geodesic.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { crossesClosed, readZones } from '../../shared/geo/zones.ts';
import { formatPlanCsv } from '../../src/day/plan-csv.ts';
import { formatPlanGpx, runsOf } from '../../src/day/plan-gpx.ts';
import { formatPlanText } from '../../src/day/plan-text.ts';
import { renderPlanPage } from '../../src/page/report-page.ts';
import { geographic, plan, planPageInput, ringLake, zoneFile } from './lake.ts';
import { stateAt } from './state-at.ts';

const HOURS = { from: 6 * 3600, to: 15 * 3600 };
const SPEED = 20;

const at = (east: number, north: number) => {
  const [lat, lon] = geographic(east, north);
  return { lat, lon };
};

/** Makes the water and run times between places on the ring lake, with the zones of the given files. */
function runsBetween(places: { lat: number; lon: number }[], zoneFiles: { value: unknown }[] = []) {
  const zones = zoneFiles.flatMap(({ value }) => readZones(value, '').zones);
  const { survey } = ringLake(0, 1).input;
  const networks = new RunNetworks(knownWater({ soundings: survey, leastDepth: 2, places })).during(
    zones,
    HOURS,
    SPEED,
  );
  const { water } = networks;
  return { water, runs: new RunTimes(places, networks, { speed: SPEED, underWay: 0, zones, hours: HOURS }) };
}

/** Makes the run times over water without zones. */
function runsOver(input: WaterInput, places = input.places) {
  const networks = new RunNetworks(knownWater(input)).during([], HOURS, SPEED);
  return new RunTimes(places, networks, { speed: SPEED, underWay: 0, zones: [], hours: HOURS });
}

/** Returns the line of a run, which must have a single part. */
const lineOf = ({ parts }: Run) => {
  expect(parts).toHaveLength(1);
  return parts[0].line;
};

/** Returns places at most `every` m apart along a line. */
function along(line: readonly { lat: number; lon: number }[], every = 2): { lat: number; lon: number }[] {
  return line.slice(1).flatMap((to, index) => {
    const from = line[index];
    const steps = Math.ceil(geodesicInverse(from.lat, from.lon, to.lat, to.lon).distance / every) + 1;
    return Array.from({ length: steps + 1 }, (_, step) => ({
      lat: from.lat + ((to.lat - from.lat) * step) / steps,
      lon: from.lon + ((to.lon - from.lon) * step) / steps,
    }));
  });
}

describe('running over water', () => {
  test('a run leads from boat position to boat position over known water, and its time stays the same', () => {
    const places = [at(-800, 300), at(-800, -300)];
    const { runs } = runsBetween(places);
    const run = runs.run(0, 1);
    const [boat, other] = [at(-800, 340), at(-830, -300)];
    const led = runs.between(run, boat, other);
    expect(led).toEqual({ ...run, parts: [{ ...run.parts[0], line: [boat, other] }] });
    const ashore = at(0, 0);
    expect(lineOf(runs.between(run, places[0], ashore)).at(-1)).toEqual(lineOf(run).at(-1));
  });

  test('run times that are stored are the ones computed, for this start and a later one', () => {
    const [ramp, later] = [at(-750, 0), at(-820, 100)];
    const spots = [at(-800, 300), at(-800, -300), at(800, 0)];
    const { survey } = ringLake(0, 1).input;
    const water = knownWater({ soundings: survey, leastDepth: 2, places: [...spots, ramp, later] });
    const settings = { speed: SPEED, underWay: 0, zones: [], hours: HOURS };
    const networks = new RunNetworks(water);
    const network = networks.during([], HOURS, SPEED);
    for (const start of [at(-700, 0), later])
      new RunTimes([...spots, start, ramp], network, settings).matrix();
    const again = new RunNetworks(water, networks.computed()).during([], HOURS, SPEED);
    expect(again.seconds).toEqual(network.seconds);
  });

  test('a clear straight run takes its distance divided by the speed', () => {
    const places = [at(-800, 300), at(-800, -300)];
    const { runs } = runsBetween(places);
    const run = runs.run(0, 1);
    expect(run.over).toBe('known');
    expect(lineOf(run)).toHaveLength(2);
    expect(Math.abs(run.seconds - 600 / SPEED)).toBeLessThan(0.05);
    expect(run.sd).toBeGreaterThan(0);
  });

  test('a run around an island without soundings is at most 8 % longer than the shortest way', () => {
    const places = [at(-800, 0), at(800, 0)];
    const { runs, water } = runsBetween(places);
    const run = runs.run(0, 1);
    expect(run.over).toBe('known');
    for (const { lat, lon } of along(lineOf(run))) expect(stateAt(water, lat, lon)).toBe(WATER.known);
    // Length of two tangents to a circle of radius r and the arc between them.
    const shortest = (r: number) =>
      2 * (Math.sqrt(800 * 800 - r * r) + r * (Math.PI / 2 - Math.acos(r / 800)));
    expect(run.distance).toBeGreaterThan(shortest(500 - 45));
    expect(run.distance).toBeLessThan(1.08 * shortest(500));
    expect(run.seconds * SPEED).toBeLessThan(1.12 * shortest(500));
  });

  test('a matrix of run times agrees with single runs and is symmetric', () => {
    const places = [at(-800, 0), at(800, 0), at(0, 800), at(100, -900)];
    const { runs } = runsBetween(places, [zoneFile({ rule: 'closed' }, -100, 500, 400)]);
    const matrix = runs.matrix();
    for (let from = 0; from < 4; from++) {
      for (let to = 0; to < 4; to++) {
        if (from === to) continue;
        expect(matrix[from * 4 + to]).toBe(matrix[to * 4 + from]);
        expect(Math.abs(matrix[from * 4 + to] - runs.run(from, to).seconds)).toBeLessThan(0.01);
      }
    }
  });

  test('a slow zone is bypassed or crossed at its speed, and where two zones overlap the slower one counts', () => {
    const places = [at(-800, 600), at(-800, -600)];
    const free = runsBetween(places).runs.run(0, 1).seconds;
    const slow = zoneFile({ rule: 'slow', speed: '2 m/s' }, -900, -100, 200);
    const run = runsBetween(places, [slow]).runs.run(0, 1);
    expect(run.seconds).toBeGreaterThan(free);
    expect(run.seconds).toBeLessThan(free + 40);
    const whole = zoneFile({ rule: 'slow', speed: '2 m/s' }, -1300, -100, 2600);
    const through = runsBetween(places, [whole]).runs.run(0, 1);
    expect(through.seconds).toBeGreaterThan(free + 300);
    const faster = zoneFile({ rule: 'slow', speed: '4 m/s' }, -1300, -100, 2600);
    for (const both of [
      [whole, faster],
      [faster, whole],
    ])
      expect(runsBetween(places, both).runs.run(0, 1).seconds).toBeCloseTo(through.seconds, 9);
  });

  test('the boat does not run over water too shallow for its draft, and a run to a place far from known water is an estimate', () => {
    const { survey } = ringLake(0, 1).input;
    const places = [at(-800, 300), at(-800, -300), at(0, 0)];
    const settings = { speed: SPEED, underWay: 0, zones: [], hours: HOURS };
    const shoal = survey.shallowest.map((depth, row) =>
      Math.abs(survey.lat[row] - places[0].lat) < 1e-4 ? 0.5 : depth,
    );
    const input = { soundings: { ...survey, shallowest: shoal }, leastDepth: 2, places };
    const water = knownWater(input);
    expect(stateAt(water, places[0].lat, places[0].lon)).toBe(WATER.shallow);
    const runs = runsOver(input);
    expect(runs.run(0, 2).over).toBe('unknown');
    expect(runs.run(0, 2).parts).toEqual([]);
    expect(new RunTimes(places, undefined, settings).run(0, 1).over).toBe('unknown');
  });

  test('water inside a shoreline but without soundings is unverified: runs may cross it, but no route shows the way', () => {
    const places = [at(-800, 0), at(0, 0)];
    const { survey } = ringLake(0, 1).input;
    const shore = readZones(zoneFile({ rule: 'closed' }, -1300, -1300, 2600).value, '').zones[0].polygons;
    const run = runsOver({ soundings: survey, leastDepth: 2, shore, places }).run(0, 1);
    expect(run.over).toBe('unverified');
    const lake = ringLake(3, 2);
    const made = plan(lake, { at: '40,-90', now: '07:00', shore: zoneFile({}, -1300, -1300, 2600) }).plan!;
    expect(made.stops[0].run.over).toBe('unverified');
    for (const { lat, lon } of routesOf(formatPlanGpx(made, 'ft', 50)).flatMap((line) => along(line, 5)))
      expect(Math.hypot(...localFrame(40, -90).toLocal(lat, lon))).toBeGreaterThan(470);
  });
});

/**
 * Makes two basins with a north-south causeway `width` m wide between them. Passes are 20 m apart and at
 * least 15 m from the causeway. `gap` has the south and north ends of the opening under a bridge, m, with a
 * pass through its middle.
 */
function basins(width: number, gap?: readonly [number, number]) {
  const lat: number[] = [];
  const lon: number[] = [];
  for (let east = -400; east <= 400; east += 5) {
    for (let north = -300; north <= 300; north += 5) {
      const isPass = Math.round(Math.abs(east) - width / 2 - 15) % 20 === 0;
      const isUnder = gap !== undefined && north === (gap[0] + gap[1]) / 2;
      if (!(isUnder || (isPass && Math.abs(east) >= width / 2 + 15))) continue;
      const [toLat, toLon] = geographic(east, north);
      lat.push(toLat);
      lon.push(toLon);
    }
  }
  const soundings = {
    count: lat.length,
    lat: Float64Array.from(lat),
    lon: Float64Array.from(lon),
    shallowest: new Float32Array(lat.length).fill(6),
  };
  const ring = (corners: readonly (readonly [number, number])[]) =>
    [...corners, corners[0]].map(([east, north]): [number, number] => {
      const [toLat, toLon] = geographic(east, north);
      return [toLon, toLat];
    });
  const half = width / 2;
  const box = (west: number, east: number) => [
    ring([
      [west, -350],
      [east, -350],
      [east, 350],
      [west, 350],
    ]),
  ];
  const shore =
    gap === undefined
      ? [box(-450, -half), box(half, 450)]
      : [
          [
            ring([
              [-450, -350],
              [-half, -350],
              [-half, gap[0]],
              [half, gap[0]],
              [half, -350],
              [450, -350],
              [450, 350],
              [half, 350],
              [half, gap[1]],
              [-half, gap[1]],
              [-half, 350],
              [-450, 350],
            ]),
          ],
        ];
  const isLand = (lat: number, lon: number): boolean => {
    const [east, north] = localFrame(40, -90).toLocal(lat, lon);
    return Math.abs(east) < half - 0.01 && !(gap !== undefined && north > gap[0] && north < gap[1]);
  };
  return { soundings, shore, isLand };
}

describe('two basins and a causeway', () => {
  const places = [at(-200, 0), at(200, 0)];
  const drawn = (run: Run) => run.parts.filter(isDrawn).flatMap(({ line }) => along(line, 1));

  test.each([20, 40, 60, 100])(
    '%i m wide: no run is drawn across it, with or without a shoreline',
    (width) => {
      const { soundings, shore, isLand } = basins(width);
      const without = runsOver({ soundings, leastDepth: 2, places }).run(0, 1);
      expect(without.over).toBe('unknown');
      expect(without.parts.map(({ over }) => over)).toEqual(['known', 'unknown', 'known']);
      expect(drawn(without).some(({ lat, lon }) => isLand(lat, lon))).toBe(false);
      const within = runsOver({ soundings, shore, leastDepth: 2, places });
      expect(within.run(0, 1).seconds).toBe(Infinity);
      expect(within.matrix()[1]).toBe(Infinity);
      expect(within.run(0, 1).parts).toEqual([]);
    },
  );

  test.each([20, 60])('%i m wide with a bridge: the run passes under it and stays off the land', (width) => {
    const { soundings, shore, isLand } = basins(width, [180, 210]);
    for (const input of [
      { soundings, leastDepth: 2, places },
      { soundings, shore, leastDepth: 2, places },
    ]) {
      const run = runsOver(input).run(0, 1);
      expect(run.over === 'known' || run.over === 'unverified').toBe(true);
      const whole = run.parts.flatMap(({ line }) => along(line, 1));
      expect(whole.some(({ lat, lon }) => isLand(lat, lon))).toBe(false);
      expect(run.distance).toBeGreaterThan(500);
    }
  });

  test('a shoreline file without polygons changes no run, and one far from the marks is refused', () => {
    const lake = ringLake(6, 3);
    const file = (...features: object[]) => ({
      file: 'shore.geojson',
      value: { type: 'FeatureCollection', features },
    });
    const empty = plan(lake, { shore: file() });
    expect(empty.plan).toEqual(plan(lake).plan);
    expect(empty.diagnostics.map(({ code }) => code)).toContain('zones/no-shore');
    const away = plan(lake, { shore: zoneFile({}, 2e6, 0, 3000) });
    expect(away.plan).toBeUndefined();
    expect(away.diagnostics.map(({ message }) => message)).toEqual([
      expect.stringMatching(/^The day cannot be planned: this shoreline is \d+.km from your nearest mark\./),
    ]);
  });

  test('an island in the shoreline is bypassed, even with passes on both sides of it', () => {
    const { soundings } = basins(0.1);
    const corner = (east: number, north: number): [number, number] => {
      const [lat, lon] = geographic(east, north);
      return [lon, lat];
    };
    const square = (half: number) =>
      [
        [-half, -half],
        [half, -half],
        [half, half],
        [-half, half],
        [-half, -half],
      ].map(([east, north]) => corner(east, north));
    const shore = [[square(450), square(12)]];
    const run = runsOver({ soundings, shore, leastDepth: 2, places }).run(0, 1);
    const frame = localFrame(40, -90);
    for (const { lat, lon } of run.parts.flatMap(({ line }) => along(line, 1))) {
      const [east, north] = frame.toLocal(lat, lon);
      expect(Math.max(Math.abs(east), Math.abs(north))).toBeGreaterThan(12);
    }
    expect(run.parts.length).toBeGreaterThan(0);
  });

  test('water between passes is known up to a spacing of 40 m', () => {
    for (const [apart, state] of [
      [36, WATER.known],
      [50, WATER.unknown],
    ] as const) {
      const rows = Array.from({ length: 80 }, (_, at) => at).flatMap((at) =>
        [-apart / 2, apart / 2].map((east) => geographic(east, 5 * (at - 40))),
      );
      const soundings = {
        count: rows.length,
        lat: Float64Array.from(rows, ([lat]) => lat),
        lon: Float64Array.from(rows, ([, lon]) => lon),
        shallowest: new Float32Array(rows.length).fill(6),
      };
      const water = knownWater({ soundings, leastDepth: 2, places });
      for (let north = -60; north <= 60; north += 7)
        expect(stateAt(water, ...geographic(0, north))).toBe(state);
    }
  });
});

describe('output of a plan', () => {
  const zones = zoneFile({ name: 'dam & <gate>', rule: 'closed' }, 300, 400, 500);

  test('no exported leg enters a closed zone, comes within 20 m of a shoal or leaves the sounded water', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 500 }), fc.integer({ min: -1000, max: 500 }), (seed, corner) => {
        const lake = ringLake(8, seed);
        const { survey } = lake.input;
        const shallowest = survey.shallowest.map((depth, row) =>
          (row * 7919 + seed) % 211 === 0 ? 0.5 : depth,
        );
        const closed = zoneFile({ rule: 'closed' }, corner, 400, 300);
        const input = { ...lake.input, survey: { ...survey, shallowest } };
        const made = plan({ ...lake, input }, { zones: closed, iterations: 2, checkIn: '10:00' }).plan!;
        const { zones } = readZones(closed.value, '');
        const frame = localFrame(40, -90);
        const soundings = Array.from(survey.lat, (lat, row) => frame.toLocal(lat, survey.lon[row]));
        for (const line of routesOf(formatPlanGpx(made, 'ft', 3))) {
          expect(line.length).toBeLessThanOrEqual(3);
          for (const [index, to] of line.slice(1).entries()) {
            expect(crossesClosed(zones, line[index].lat, line[index].lon, to.lat, to.lon)).toBe(false);
          }
          for (const { lat, lon } of along(line, 25)) {
            const [east, north] = frame.toLocal(lat, lon);
            const near = soundings.flatMap(([x, y], row) => {
              const distance = Math.hypot(x - east, y - north);
              return distance <= 40 ? [{ distance, depth: shallowest[row] }] : [];
            });
            // A known cell has a sounding within about 20 m (`knownWater`), so 40 m is generous.
            expect(near.length).toBeGreaterThan(0);
            expect(near.filter(({ distance, depth }) => distance < 20 && depth < 1.5)).toEqual([]);
          }
        }
      }),
      // Lake 34 has a run over a corner of a cell that is closer to a shoal than the center of that cell.
      { numRuns: 15, examples: [[34, 0]] },
    );
  });

  test('GPX has a waypoint for every stop and fallback, and a route for every drawn run', () => {
    const made = plan(ringLake(8, 3), { zones }).plan!;
    const text = formatPlanGpx(made, 'ft', 50);
    const names = Array.from(text.matchAll(/<name>(.*?)<\/name>/g), ([, name]) => name);
    for (const { spot, side, fallbacks } of made.stops) {
      for (const place of [{ spot, side }, ...fallbacks])
        expect(
          names.some((name) => name.endsWith(` ${place.spot.name} ${place.side.side === 0 ? 'D' : 'U'}`)),
        ).toBe(true);
    }
    expect(routesOf(text)).toHaveLength(runsOf(made).filter(({ parts }) => parts.length > 0).length);
    expect(text).toContain('Not for navigation');
  });

  test('page, table and CSV have the cautions and every stop, and escape what the user wrote', async () => {
    const made = plan(ringLake(8, 3), { zones }).plan!;
    const page = renderPlanPage(planPageInput(made));
    expect(page).toContain('Not for navigation');
    expect(page).toContain('life jacket');
    expect(page).toContain('zones you give');
    expect(page).not.toContain('<gate>');
    expect(page.match(/Give up after 12 min/g)).toHaveLength(made.stops.length);
    expect(new DOMParser({ onError: () => {} }).parseFromString(page, 'text/html')).toBeDefined();
    const csv = formatPlanCsv(made, 'm', true);
    expect(csv.trim().split('\r\n')).toHaveLength(made.stops.length + 1);
    expect(csv).toContain('boat_depth_m');
    expect(formatPlanText(made, 'ft')).toContain('Not for navigation');
  });

  test('a plan without stops still gives a page, which says that no stop fits', () => {
    const made = plan(ringLake(3, 3), { checkIn: '06:45' }).plan!;
    expect(renderPlanPage(planPageInput(made))).toContain('No stop fits');
    expect(formatPlanGpx(made, 'ft', 50)).not.toContain('<rte>');
  });
});

/** Returns the lines of the routes in GPX text. */
function routesOf(text: string): { lat: number; lon: number }[][] {
  const document = new DOMParser().parseFromString(text, 'text/xml');
  return Array.from(document.getElementsByTagName('rte')).map((route) =>
    Array.from(route.getElementsByTagName('rtept')).map((point) => ({
      lat: Number(point.getAttribute('lat')),
      lon: Number(point.getAttribute('lon')),
    })),
  );
}
