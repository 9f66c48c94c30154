import { DOMParser } from '@xmldom/xmldom';
import { describe, expect, test } from 'vitest';
import type { BottomModel } from '../../shared/contract/bottom-model.ts';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import { geodesicInverse } from '../../shared/geo/geodesic.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { FIGURE_COLORS, FIGURE_STYLE, FIGURE_TINTS, PLAN_TINTS } from '../../src/page/figure-style.ts';
import { figureContext, figureFiles, sideFigures } from '../../src/page/figures.ts';
import { planFigure } from '../../src/page/plan-figure.ts';
import { sideFigure } from '../../src/page/side-figure.ts';
import { contrastOf, luminance, rgbOf } from './luminance.ts';
import {
  distanceToLines,
  isInside,
  type Place,
  pathsOf,
  placeOf,
  readPath,
  rootData,
} from './read-figure.ts';
import { sampleBottom, sampleReport } from './sample-lake.ts';

const report = sampleReport(30);
const context = figureContext(report);
const planned = report.waypoints.filter(
  ({ fields }) => fields.downslope !== undefined && fields.upslope !== undefined,
);
const letters = { downslope: 'D', upslope: 'U' } as const;
const SIDES = ['downslope', 'upslope'] as const;

/** Maximum error of a written position, m: a little over half of the last decimal at the coarsest scale. */
const WRITTEN = 0.05;

/** Converts a place in a figure to m from the waypoint. */
function groundPlace(svg: string, [x, y]: Place): [east: number, north: number] {
  const { west, north, scale } = rootData(svg);
  return [west + x / scale, north - y / scale];
}

describe('plan view', () => {
  test('the boat symbols are where the table puts the boats', () => {
    expect(planned.length).toBeGreaterThan(20);
    for (const spot of planned) {
      const svg = planFigure(spot, context);
      const frame = localFrame(spot.waypoint.lat, spot.waypoint.lon);
      for (const side of SIDES) {
        const [east, north] = groundPlace(svg, placeOf(svg, `data-boat="${letters[side]}"`));
        const [lat, lon] = frame.toGeographic(east, north);
        const table = {
          lat: Number(spot.fields[`${side}_lat`]),
          lon: Number(spot.fields[`${side}_lon`]),
        };
        expect(geodesicInverse(table.lat, table.lon, lat, lon).distance).toBeLessThan(WRITTEN);
      }
    }
  });

  test('the landings are at the bearing and length of the cast', () => {
    for (const spot of planned) {
      const svg = planFigure(spot, context);
      const frame = localFrame(spot.waypoint.lat, spot.waypoint.lon);
      const boat = frame.toGeographic(...groundPlace(svg, placeOf(svg, 'data-boat="D"')));
      const landing = frame.toGeographic(...groundPlace(svg, placeOf(svg, 'data-landing="D"')));
      const line = geodesicInverse(boat[0], boat[1], landing[0], landing[1]);
      expect(line.distance).toBeCloseTo(Number(spot.fields.downslope_cast), 0);
      const off = Math.abs(line.bearing - Number(spot.fields.downslope_cast_true));
      expect(Math.min(off, 360 - off)).toBeLessThan(0.2);
    }
  });

  test("the isobath of the boat's depth passes through the boat", () => {
    // With 6 m between nodes, linear interpolation is off by up to h^2 / 8 x curvature = 0.005 m, or 0.3 m of
    // ground on a slope of 1 in 60; thinning moves the line by up to 0.25 figure units, another 0.1 m.
    for (const spot of planned) {
      const svg = planFigure(spot, context);
      const { scale } = rootData(svg);
      for (const side of SIDES) {
        const lines = pathsOf(svg, /class="own"/).map(readPath);
        const boat = placeOf(svg, `data-boat="${letters[side]}"`);
        const { bottom } = spot.fields as { bottom: BottomModel };
        const slope = slopeAt(spot, side);
        const allowed = 0.1 + 0.005 / slope + WRITTEN;
        expect(bottom.grid).toBeDefined();
        expect(Math.min(...lines.map((line) => distanceToLines(boat, line))) / scale).toBeLessThan(allowed);
      }
    }
  });

  /** Returns the slope of the bottom at a boat, m/m. */
  function slopeAt(spot: EnrichedWaypoint, side: 'downslope' | 'upslope'): number {
    const { grid } = spot.fields.bottom as BottomModel;
    const boat = spot.fields[side]?.boat;
    if (grid === undefined || boat === undefined) throw new Error('sample spots have both');
    const at = (east: number, north: number) => {
      const half = (grid.size - 1) / 2;
      return grid.depth[
        Math.round(north / grid.cellSize + half) * grid.size + Math.round(east / grid.cellSize + half)
      ];
    };
    const step = grid.cellSize;
    return Math.hypot(
      (at(boat.east + step, boat.north) - at(boat.east - step, boat.north)) / (2 * step),
      (at(boat.east, boat.north + step) - at(boat.east, boat.north - step)) / (2 * step),
    );
  }

  test('the bottom along an isobath has its depth', () => {
    const lake = localFrame(41.2, -104.9);
    for (const spot of planned.slice(0, 8)) {
      const svg = planFigure(spot, context);
      const origin = lake.toLocal(spot.waypoint.lat, spot.waypoint.lon);
      const group = /<g class="iso">(.*?)<\/g>/.exec(svg)?.[1] ?? '';
      for (const [, depth, d] of [...group.matchAll(/data-depth="([\d.]+)"/g)].map((match) => {
        const tag = group.slice(group.lastIndexOf('<path', match.index), group.indexOf('>', match.index));
        return [tag, match[1], / d="([^"]*)"/.exec(tag)?.[1] ?? ''];
      })) {
        for (const place of readPath(d).flat()) {
          if (place[0] < 1 || place[1] < 1 || place[0] > 359 || place[1] > 359) continue;
          const [east, north] = groundPlace(svg, place);
          expect(Math.abs(sampleBottom(origin[0] + east, origin[1] + north) - Number(depth))).toBeLessThan(
            0.04,
          );
        }
      }
    }
  });

  test('ground without soundings is hatched and sounded ground is not', () => {
    for (const index of [0, 7, 13]) {
      const spot = report.waypoints[index];
      const svg = planFigure(spot, context);
      const { west, north, scale } = rootData(svg);
      const hatch = readPath(pathsOf(svg, /class="hatch"/)[0]);
      const { grid } = spot.fields.bottom as BottomModel;
      if (grid === undefined) throw new Error('sample spots with a pass have a grid');
      const half = (grid.size - 1) / 2;
      for (let k = 0; k < grid.supported.length; k += 1) {
        const [column, row] = [k % grid.size, Math.floor(k / grid.size)];
        if (Math.min(column, row) < 1 || Math.max(column, row) > grid.size - 2) continue;
        const place: Place = [
          ((column - half) * grid.cellSize - west) * scale,
          (north - (row - half) * grid.cellSize) * scale,
        ];
        if (place.some((value) => value < 2 || value > 358)) continue;
        expect(isInside(place, hatch)).toBe(grid.supported[k] === 0);
      }
    }
  });

  test("every labeled isobath has its depth in the user's unit", () => {
    for (const units of ['ft', 'm'] as const) {
      const svg = planFigure(planned[0], { ...context, units });
      const depths = [...svg.matchAll(/<path(?: class="t\d")? d="[^"]*" data-depth="([\d.]+)"/g)].map(
        ([, depth]) => Number(depth),
      );
      const group = svg.slice(svg.lastIndexOf('<g class="iso">')).replace(/<\/g>.*/s, '');
      const labels = [...group.matchAll(/class="mid"[^>]*>([\d.]+)<\/text>/g)].map(([, text]) =>
        Number(text),
      );
      expect(labels.length).toBeGreaterThan(3);
      const shown = depths.map((depth) =>
        units === 'ft' ? Math.round(depth / 0.3048) : Math.round(depth * 10) / 10,
      );
      for (const label of labels) expect(shown).toContain(label);
    }
  });

  test('the number of a next angle is on its line and clear of the symbols', () => {
    const [first] = planned;
    const [angle] = first.fields.angles ?? [];
    if (angle === undefined) throw new Error('sample spots have next angles');
    const { downslope } = first.fields;
    // An angle from the position of the deep-side boat, where a symbol is.
    const fromBoat = { ...angle, boat: downslope!.boat };
    for (const angles of [[angle], [fromBoat]]) {
      const svg = planFigure({ ...first, fields: { ...first.fields, angles } }, context);
      const number = placeOf(svg, 'data-angle="1"');
      const symbols = ['data-boat="D"', 'data-boat="U"', 'data-landing="D"', 'data-landing="U"'];
      for (const symbol of symbols) {
        const [x, y] = placeOf(svg, symbol);
        expect(Math.hypot(x - number[0], y - number[1])).toBeGreaterThan(15.8);
      }
      const line = /<g class="next"><path d="([^"]*)"/.exec(svg)?.[1] ?? '';
      expect(distanceToLines(number, readPath(line))).toBeLessThan(0.15);
    }
  });

  test('a spot without soundings is hatched all over and says so', () => {
    const svg = planFigure(report.waypoints[9], context);
    expect(pathsOf(svg, /class="hatch"/)).toEqual(['M0 0H360V360H0Z']);
    expect(svg).toContain('No sonar within this map');
  });
});

describe('side view', () => {
  test("the drawn lure path is the model's", () => {
    for (const spot of planned) {
      for (const side of SIDES) {
        const svg = sideFigure(spot, side, context);
        const { left, surface, across, down } = rootData(svg);
        const line = readPath(pathsOf(svg, /class="lure"/)[0]);
        const { distance, lure } = spot.fields[side]!.profile;
        for (let i = 0; i < distance.length; i += 1) {
          const place: Place = [left + distance[i] * across, surface + lure[i] * down];
          // Thinning moves the line by up to 0.15 figure units, and rounding by half of the last decimal in x
          // and y.
          expect(distanceToLines(place, line)).toBeLessThan(0.15 + 0.08);
        }
      }
    }
  });

  test("the drawn contact is where the model's lure is on bottom", () => {
    for (const spot of planned) {
      const svg = sideFigure(spot, 'upslope', context);
      const { left, across } = rootData(svg);
      const { distance, lure, bottom } = spot.fields.upslope!.profile;
      // Points of the profile are 0.5 m apart. A drawn end is between the outermost point on bottom and its
      // neighbor.
      const touching = Array.from(distance).filter((_, i) => lure[i] >= 0.3 && bottom[i] - lure[i] <= 0.3);
      const drawn = pathsOf(svg, /class="touch"/).flatMap((d) => readPath(d).flat());
      if (touching.length === 0) {
        expect(drawn).toEqual([]);
        continue;
      }
      const from = (Math.min(...drawn.map(([x]) => x)) - left) / across;
      const to = (Math.max(...drawn.map(([x]) => x)) - left) / across;
      expect(from).toBeLessThan(touching[0] + 0.02);
      expect(from).toBeGreaterThan(touching[0] - 0.52);
      expect(to).toBeGreaterThan(touching[touching.length - 1] - 0.02);
      expect(to).toBeLessThan(touching[touching.length - 1] + 0.52);
    }
  });

  test('the bottom is drawn at its depth and the band at two standard deviations', () => {
    const spot = planned[0];
    const svg = sideFigure(spot, 'downslope', context);
    const { left, surface, across, down } = rootData(svg);
    const { distance, bottom, bottomSd } = spot.fields.downslope!.profile;
    const ground = readPath(pathsOf(svg, /class="bottom"/)[0]);
    const band = readPath(pathsOf(svg, /class="sd"/)[0]);
    for (let i = 0; i < distance.length; i += 1) {
      const at = (depth: number): Place => [left + distance[i] * across, surface + depth * down];
      expect(distanceToLines(at(bottom[i]), ground)).toBeLessThan(0.23);
      expect(distanceToLines(at(bottom[i] - 2 * bottomSd[i]), band)).toBeLessThan(0.23);
      expect(distanceToLines(at(bottom[i] + 2 * bottomSd[i]), band)).toBeLessThan(0.23);
    }
  });

  test('the stated exaggeration is the drawn one', () => {
    for (const spot of planned) {
      const svg = sideFigure(spot, 'downslope', context);
      const { across, down, exaggeration } = rootData(svg);
      expect(down / across).toBeCloseTo(exaggeration, 3);
      const words = exaggeration === 1 ? 'Drawn true to scale' : `Heights drawn \u00d7 ${exaggeration}.`;
      expect(svg).toContain(words);
    }
  });

  test('the label of the contact is below the bottom where there is room', () => {
    for (const spot of planned) {
      for (const side of SIDES) {
        const svg = sideFigure(spot, side, context);
        const label = /x="([\d.]+)" y="([\d.]+)" class="mid bold side">on bottom/.exec(svg);
        if (label === null) continue;
        const [x, y] = [Number(label[1]), Number(label[2])];
        const ground = readPath(pathsOf(svg, /class="bottom"/)[0]).flat();
        const below = ground.filter(([at]) => Math.abs(at - x) <= 50).map(([, down]) => down);
        if (y < 179.9) expect(y - 9).toBeGreaterThan(Math.max(...below));
      }
    }
  });

  test('without a planned cast the label is above the water, away from the soundings', () => {
    const spot = report.waypoints[6];
    const [{ side, svg }] = sideFigures(spot, context);
    expect(side).toBe('bottom');
    const words = /y="([\d.]+)" class="end soft">bottom: along the pass/.exec(svg);
    expect(Number(words?.[1])).toBeLessThan(rootData(svg).surface);
  });

  test('both sides of a spot share one scale', () => {
    for (const spot of planned) {
      const [d, u] = SIDES.map((side) => rootData(sideFigure(spot, side, context)));
      expect([d.across, d.down]).toEqual([u.across, u.down]);
    }
  });

  test('the bottom stays inside the frame in very deep and very shallow water', () => {
    for (const times of [0.05, 20]) {
      const plan = planned[0].fields.downslope!;
      const deeper = (column: Float64Array) => column.map((depth) => depth * times);
      const profile = {
        ...plan.profile,
        bottom: deeper(plan.profile.bottom),
        lure: deeper(plan.profile.lure),
      };
      const fields = {
        ...planned[0].fields,
        upslope: undefined,
        downslope: { ...plan, profile, lureDepth: plan.lureDepth * times },
      };
      const svg = sideFigure({ ...planned[0], fields }, 'downslope', context);
      for (const [x, y] of readPath(pathsOf(svg, /class="bottom"/)[0]).flat()) {
        expect(x).toBeLessThanOrEqual(360);
        expect(y).toBeLessThanOrEqual(195);
      }
    }
  });
});

describe('colors', () => {
  const contrast = (a: readonly number[], b: readonly number[]) => contrastOf(luminance(a), luminance(b));

  const themes = [...FIGURE_COLORS.matchAll(/:root,svg\{([^}]*)\}/g)].map(([, rules]) => rules);
  const colorOf = (rules: string, name: string) =>
    rgbOf(new RegExp(`--${name}:(#[\\da-f]+)`).exec(rules)?.[1] ?? '#');
  const tintsOf = (rules: string, count: number) =>
    Array.from({ length: count }, (_, i) => colorOf(rules, `t${i}`));

  test('neighboring tints have a contrast of at least 1.25 : 1, and contours have 3 : 1 on every tint', () => {
    expect(themes).toHaveLength(3);
    for (const rules of themes) {
      const tints = tintsOf(rules, FIGURE_TINTS);
      for (const tint of tints) expect(contrast(colorOf(rules, 'iso'), tint)).toBeGreaterThan(3);
      for (const [i, tint] of tints.slice(1).entries())
        expect(contrast(tints[i], tint)).toBeGreaterThan(1.25);
    }
  });

  test('cast lines and labels have a contrast of 3 : 1 on every tint of a plan view, also among the fish', () => {
    const opacity = Number(/\.band\{[^}]*fill-opacity:([\d.]+)/.exec(FIGURE_STYLE)?.[1]);
    for (const rules of themes) {
      const fish = colorOf(rules, 'fish');
      for (const tint of tintsOf(rules, PLAN_TINTS)) {
        const amongFish = tint.map((value, i) => value * (1 - opacity) + fish[i] * opacity);
        for (const name of ['deep', 'shoal', 'fish', 'iso', 'ink'])
          for (const ground of [tint, amongFish])
            expect(contrast(colorOf(rules, name), ground), `${name} on ${ground}`).toBeGreaterThan(3);
      }
    }
  });
});

describe('all figures', () => {
  test('every spot has a plan view and a side view, with or without a cast', () => {
    for (const spot of report.waypoints) {
      expect(planFigure(spot, context)).toMatch(/^<svg .*<\/svg>$/s);
      const sides = sideFigures(spot, context);
      expect(sides.length).toBeGreaterThan(0);
      for (const { svg } of sides) expect(svg).toMatch(/^<svg .*<\/svg>$/s);
    }
  });

  test('file names are distinct and safe, and files are well-formed SVG with a title', () => {
    const odd = report.waypoints.slice(0, 4).map((spot, i) => ({
      ...spot,
      waypoint: {
        ...spot.waypoint,
        name: ['<script>"&', '../../up', '', '\u9b5a\u0007'][i],
      },
    }));
    const files = [...figureFiles({ ...report, waypoints: odd })];
    expect(new Set(files.map(({ name }) => name)).size).toBe(files.length);
    for (const { name, svg } of files) {
      expect(name).toMatch(/^(overview|\d{3,}(-[a-z0-9-]+)?-(plan|downslope|upslope|bottom))\.svg$/);
      const document = new DOMParser({
        onError: (level, message) => {
          if (level !== 'warning') throw new Error(`${level} ${message}`);
        },
      }).parseFromString(svg, 'image/svg+xml');
      expect(document.documentElement?.namespaceURI).toBe('http://www.w3.org/2000/svg');
      expect(document.getElementsByTagName('title')).toHaveLength(1);
      expect(document.getElementsByTagName('script')).toHaveLength(0);
    }
  });

  test('drawing the same spot twice gives the same bytes', () => {
    expect(planFigure(planned[0], context)).toBe(planFigure(planned[0], context));
    expect([...figureFiles(report)]).toEqual([...figureFiles(report)]);
  });
});
