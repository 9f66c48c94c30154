import { describe, expect, it } from 'vitest';
import { cast } from '../../plugins/cast.ts';
import type { CastPlan } from '../../shared/contract/cast-plan.ts';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import type { WaypointInput } from '../../shared/contract/plugin.ts';
import { bottomOf } from './analytic-bottom.ts';
import { roundedPoint, WORKED_POINTS } from './worked-example.ts';

// The expected numbers are rules of thumb without a published source. Lures are named by their labeled depth.
const feet = 0.3048;

type Input = WaypointInput<'bottom' | 'fish_top' | 'fish_bottom', 'declination'>;

const plan = (
  depth: (east: number, north: number) => number,
  band: readonly [top: number, bottom: number],
  options: object = {},
) => {
  const said: Diagnostic[] = [];
  const input = {
    waypoint: {},
    waypoints: [],
    fields: { bottom: bottomOf(depth), fish_top: band[0] * feet, fish_bottom: band[1] * feet },
  } as unknown as Input;
  const defaults = { units: 'ft', draft: 3 * feet, line: '12', cast: 45.72, hazards: [] };
  const found = cast.run(input, { ...defaults, ...options } as never, {
    report: (diagnostic) => said.push(diagnostic),
    progress: () => {},
    isWanted: () => true,
  });
  return { found, said };
};

/** Returns the depth, ft, of the deepest bottom that the lure passes within `clearance` m. */
const deepestNear = (one: CastPlan, clearance: number): number => {
  let deepest = 0;
  one.profile.bottom.forEach((depth, i) => {
    if (depth - one.profile.lure[i] <= clearance) deepest = Math.max(deepest, depth);
  });
  return deepest / feet;
};

describe('common practice, no source: rounded point, top in 10 ft, to 30 ft over 58 to 90 m, fish 12 to 18 ft', () => {
  it.each(WORKED_POINTS)(
    'falling over %d m, running out to %d deg, marked %d deg from the tip',
    (run, bearing, turn) => {
      const { found } = plan(roundedPoint(run, bearing, turn), [12, 18]);
      const deep = found.downslope;
      if (deep === undefined) throw new Error('no deep side');
      expect(found.lure).toBe('16 ft diver');
      expect(deep.boat.depth / feet).toBeGreaterThanOrEqual(19.5);
      expect(deep.boat.depth / feet).toBeLessThanOrEqual(22.5);
      expect(deep.landing.depth / feet).toBeGreaterThanOrEqual(9.99);
      expect(deep.landing.depth / feet).toBeLessThanOrEqual(12.5);
      expect(deepestNear(deep, 0.02)).toBeGreaterThanOrEqual(15.5);
      expect(deepestNear(deep, feet)).toBeGreaterThanOrEqual(17);
      const top = found.upslope;
      if (top === undefined) throw new Error('no shallow side');
      expect(top.boat.depth / feet).toBeGreaterThanOrEqual(9.99);
      expect(top.boat.depth / feet).toBeLessThanOrEqual(12);
      expect(top.landing.depth / feet).toBeGreaterThanOrEqual(18);
    },
  );
});

describe('common practice, no source: steeper ground needs a deeper boat position', () => {
  it('a break of 25 deg puts the boat deeper than a point falling over 72 m', () => {
    const steep = (_east: number, north: number) =>
      Math.min(Math.max(15 * feet + Math.tan((25 * Math.PI) / 180) * north, 6 * feet), 45 * feet);
    const deep = plan(steep, [12, 18]).found.downslope;
    const usual = plan(roundedPoint(72, 0, 0), [12, 18]).found.downslope;
    expect(deep?.boat.depth).toBeGreaterThan(usual?.boat.depth ?? 99);
  });
});

describe('common practice, no source: lure by the position of the fish', () => {
  const point = roundedPoint(72, 120, 0);

  it('fish right on top at 10 ft: a 10 ft diver', () => {
    const top = (east: number, north: number) => point(east, north) - 0.5 * feet;
    expect(plan(top, [9.7, 11]).found.lure).toBe('10 ft diver');
  });

  it('fish on the upper part: a 14 ft diver', () => {
    expect(plan(point, [11, 16]).found.lure).toBe('14 ft diver');
  });
});
