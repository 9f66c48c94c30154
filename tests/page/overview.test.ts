import { describe, expect, test } from 'vitest';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import type { Survey } from '../../shared/contract/soundings.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { atPlace, LAKE_GRID, makeLakeGrid } from '../../shared/lake/index.ts';
import { findLakeAreas } from '../../shared/lake/lake-areas.ts';
import { findLakeLines } from '../../shared/lake/lake-lines.ts';
import { bottomFigure } from '../../src/page/bottom-figure.ts';
import { figureContext } from '../../src/page/figures.ts';
import { lakeMap } from '../../src/page/lake-map.ts';
import { mapSection } from '../../src/page/map-section.ts';
import { overviewGrid } from '../../src/page/overview-grid.ts';
import { pathsOf, readPath, rootData } from './read-figure.ts';
import { sampleBottom, sampleReport } from './sample-lake.ts';
import { samplePlan, sampleZones } from './sample-plan.ts';

describe('map of the lake', () => {
  const report = sampleReport(30);
  const svg = lakeMap(report).svg;

  test('spots are at their waypoints, with names and links to their sections', () => {
    const { lat, lon, west, north, scale } = rootData(svg);
    const frame = localFrame(lat, lon);
    for (const { waypoint } of report.waypoints) {
      const match = new RegExp(
        `<a href="#spot-${waypoint.index + 1}"[^>]*><g transform="translate\\((-?[\\d.]+)[ ,]?(-?[\\d.]+)\\)`,
      ).exec(svg);
      const [x, y] = [Number(match?.[1]), Number(match?.[2])];
      const [east, northward] = frame.toLocal(waypoint.lat, waypoint.lon);
      // Figures round to one decimal of a figure unit.
      expect(Math.abs(west + x / scale - east)).toBeLessThan(0.06 / scale);
      expect(Math.abs(north - y / scale - northward)).toBeLessThan(0.06 / scale);
    }
  });

  test('every pass is drawn where it was run', () => {
    const { lat, lon, west, north, scale } = rootData(svg);
    const frame = localFrame(lat, lon);
    const drawn = pathsOf(svg, /class="pass/).flatMap(readPath);
    const { survey } = report;
    for (let i = 0; i < survey.count; i += 97) {
      const [east, northward] = frame.toLocal(survey.lat[i], survey.lon[i]);
      const [x, y] = [(east - west) * scale, (north - northward) * scale];
      const near = drawn.some((line) =>
        line.some((place, k) => {
          const [a, b] = [line[Math.max(0, k - 1)], place];
          const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
          const along = ((x - a[0]) * (b[0] - a[0]) + (y - a[1]) * (b[1] - a[1])) / length / length;
          const t = Math.max(0, Math.min(1, along));
          return Math.hypot(x - a[0] - t * (b[0] - a[0]), y - a[1] - t * (b[1] - a[1])) < 1.5;
        }),
      );
      expect(near).toBe(true);
    }
  });

  test('a stray sounding far away does not change the scale', () => {
    const { survey } = report;
    const add = (values: ArrayLike<number>, value: number) => [...Array.from(values), value];
    const strayed = {
      count: survey.count + 1,
      lat: Float64Array.from(add(survey.lat, 0)),
      lon: Float64Array.from(add(survey.lon, 0)),
      depth: Float32Array.from(add(survey.depth, 5)),
      pass: Int32Array.from(add(survey.pass, 99_999)),
    };
    expect(rootData(lakeMap({ ...report, survey: strayed }).svg).scale).toBeCloseTo(rootData(svg).scale, 6);
  });
});

describe('other content of the map', () => {
  const report = sampleReport(12);
  const away = (index: number, lat: number): EnrichedWaypoint => ({
    waypoint: { ...report.waypoints[0].waypoint, index, name: `HOME <${index}>`, lat },
    fields: { status: 'no-data' },
    diagnostics: [],
  });

  test('marks far away are listed separately and do not enlarge the map', () => {
    const far = { ...report, waypoints: [away(0, 40.1), ...report.waypoints.slice(1), away(12, 44)] };
    const without = { ...report, waypoints: report.waypoints.slice(1) };
    expect(rootData(lakeMap(far).svg).scale).toBeCloseTo(rootData(lakeMap(without).svg).scale, 6);
    expect(lakeMap(far).layout.far.map(({ waypoint }) => waypoint.index)).toEqual([0, 12]);
    const section = mapSection(far, true);
    // HOME <0> is 1.1 degrees of latitude south of the center of the map. The declination is about 7 degrees
    // east.
    expect(section).toMatch(/HOME &lt;0&gt;<\/a>: 7\d\.\d mi, 17\dM/);
    expect(section).toMatch(/HOME &lt;12&gt;<\/a>: 19\d\.\d mi, 35\dM/);
  });

  test('without soundings the map shows the marks around their median', () => {
    const bare = report.waypoints.map(({ waypoint }) => ({ waypoint, fields: {}, diagnostics: [] }));
    const survey = sampleReport(0).survey;
    const { layout } = lakeMap({ ...report, survey, waypoints: [away(99, 30), ...bare] });
    expect(layout.far.map(({ waypoint }) => waypoint.index)).toEqual([99]);
    expect(layout.shown).toHaveLength(12);
  });

  test('the modeled bottom gives isobaths at their depth, and all lips of 30 m or more', () => {
    const small = sampleReport(2);
    const survey = { ...small.survey, weight: new Float32Array(small.survey.count).fill(1) };
    const grid = makeLakeGrid(survey as unknown as Survey, { ...LAKE_GRID, draws: 2 })!;
    const lake = { grid, lines: findLakeLines(grid), areas: findLakeAreas(grid) };
    const { svg, ground } = lakeMap({ ...small, lake });
    const { lat, lon, west, north, scale } = rootData(svg);
    const frame = localFrame(lat, lon);
    const truth = localFrame(41.2, -104.9);
    const errors = ground.isobaths.depths.flatMap((depth) => {
      const d =
        pathsOf(svg, new RegExp(`data-depth="${String(Number(depth.toFixed(3))).replace(/^0/, '')}"`))[0] ??
        '';
      return readPath(d)
        .flat()
        .flatMap(([x, y]) => {
          const place = frame.toGeographic(west + x / scale, north - y / scale);
          const at = atPlace(grid, grid.depth, ...place);
          if (Number.isNaN(at)) return [];
          return [Math.abs(sampleBottom(...truth.toLocal(...place)) - depth)];
        });
    });
    expect(errors.length).toBeGreaterThan(200);
    errors.sort((a, b) => a - b);
    // Passes are 18 to 25 m apart. At 80 % of the places, the isobath is right within a foot.
    expect(errors[Math.floor(errors.length * 0.8)]).toBeLessThan(0.3);
    expect(pathsOf(svg, /class="lip/).length).toBe(
      lake.lines.filter(({ kind, length }) => kind === 'lip' && length >= 30).length,
    );
    expect(mapSection({ ...small, lake }, true)).toContain('from the model of the whole lake');
  });

  test('closed and slow water, the ramp and the stops with their route are shown', () => {
    const plan = samplePlan(report);
    const { zones } = sampleZones();
    const { svg } = lakeMap({ ...report, plan, zones });
    expect(svg.match(/class="zone closed"/g)).toHaveLength(1);
    expect(svg.match(/class="zone slow"/g)).toHaveLength(1);
    expect(svg.includes('> ramp</text>')).toBe(true);
    const numbers = [...svg.matchAll(/data-stop="([\d,]+)"/g)].flatMap(([, text]) =>
      text.split(',').map(Number),
    );
    expect(numbers.sort((a, b) => a - b)).toEqual(plan.stops.map((_, i) => i + 1));
    expect(svg.includes('class="route"')).toBe(true);
  });

  test('only marks with a problem carry a sign', () => {
    const { svg } = lakeMap(report);
    const signs = [...svg.matchAll(/data-spot="(\d+)"[^>]*>(?:(?!<\/a>).)*\u26a0/g)].map(([, number]) =>
      Number(number),
    );
    const problems = report.waypoints.filter(({ diagnostics }) => diagnostics.length > 0);
    expect(signs.sort((a, b) => a - b)).toEqual(problems.map(({ waypoint }) => waypoint.index + 1));
  });
});

describe('depths of the overview', () => {
  test('follow an even slope within the spread of a cell, and end where soundings end', () => {
    const frame = localFrame(10, 20);
    const places = Array.from({ length: 4000 }, (_, i) => [(i % 80) * 5, Math.floor(i / 80) * 8]);
    const survey = {
      count: places.length,
      lat: Float64Array.from(places, ([east, north]) => frame.toGeographic(east, north)[0]),
      lon: Float64Array.from(places, ([east, north]) => frame.toGeographic(east, north)[1]),
      depth: Float32Array.from(places, ([east]) => 3 + east * 0.02),
      pass: new Int32Array(places.length),
    };
    const grid = overviewGrid(survey, frame, { west: -200, east: 600, south: -200, north: 600 });
    for (let k = 0; k < grid.depth.length; k += 1) {
      const [east, north] = grid.toLocal(k % grid.columns, Math.floor(k / grid.columns));
      const isInside = east > 30 && east < 365 && north > 30 && north < 360;
      if (isInside) {
        expect(grid.sounded[k]).toBe(1);
        // Cells average nearby soundings, so their mean may lie up to half a cell away, 0.02 x 4 m.
        expect(Math.abs(grid.depth[k] - (3 + east * 0.02))).toBeLessThan(0.1);
      }
      if (east < -30 || east > 430 || north < -30 || north > 430) expect(grid.sounded[k]).toBe(0);
    }
  });
});

describe('side view without a cast', () => {
  const report = sampleReport(14);
  const context = figureContext({ ...report, units: 'm' });

  test('shows the soundings of the single pass at their depth', () => {
    const svg = bottomFigure(report.waypoints[6], context);
    const { surface, down } = rootData(svg);
    const dots = pathsOf(svg, /class="snd"/).flatMap((d) => readPath(d).map(([first]) => first));
    expect(dots.length).toBeGreaterThan(20);
    const depths = dots.map(([, y]) => (y - surface) / down).sort((a, b) => a - b);
    const near = Array.from(report.survey.depth).filter((_, i) => report.survey.pass[i] > 0);
    expect(depths[0]).toBeGreaterThanOrEqual(Math.min(...near) - 0.01);
    for (const depth of depths) {
      expect(Math.min(...near.map((each) => Math.abs(each - depth)))).toBeLessThan(0.06 / down + 0.02);
    }
    expect(svg).toContain('along the pass');
    expect(pathsOf(svg, /class="bottom"/)).toEqual([]);
  });

  test('shows the modeled bottom along the fall line if there is one', () => {
    const spot = report.waypoints[0];
    const fields = { ...spot.fields, downslope: undefined, upslope: undefined };
    const svg = bottomFigure({ ...spot, fields }, context);
    const { left, surface, across, down } = rootData(svg);
    const lake = localFrame(41.2, -104.9);
    const [east, north] = lake.toLocal(spot.waypoint.lat, spot.waypoint.lon);
    const turn = (Number(spot.fields.aspect) * Math.PI) / 180;
    for (const [x, y] of readPath(pathsOf(svg, /class="bottom"/)[0]).flat()) {
      const along = (x - left) / across;
      const truth = sampleBottom(east + along * Math.sin(turn), north + along * Math.cos(turn));
      // Bilinear interpolation between nodes 6 m apart is off by up to h^2 / 4 x curvature = 0.01 m.
      expect(Math.abs((y - surface) / down - truth)).toBeLessThan(0.03);
    }
  });
});
