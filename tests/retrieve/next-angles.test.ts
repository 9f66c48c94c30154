import { describe, expect, it } from 'vitest';
import { makeBottom } from '../../fixtures/lakes/bottom.ts';
import type { CastPlan } from '../../shared/contract/cast-plan.ts';
import { turnBetween } from '../../shared/retrieve/cast-rules.ts';
import { bottomOf } from './analytic-bottom.ts';
import { planMark } from './plan-marks.ts';

const feet = 0.3048;
/** A round-nosed point that runs south, from 10 to 30 ft deep over 72 m. The mark is in 15 ft off its tip. */
const point = (east: number, north: number): number => {
  const along = 30 - north;
  const distance = along > 0 ? Math.hypot(along, east) : Math.abs(east);
  return feet * Math.min(Math.max(10 + (20 / 72) * (distance - 12), 10), 30);
};
/** A long round bar running east and west that rises from 24 ft to 11.5 ft. */
const bar = (_east: number, north: number): number => feet * Math.min(11.5 + 0.03 * north * north, 24);

const sides = (plans: readonly (CastPlan | undefined)[]): CastPlan[] =>
  plans.filter((plan): plan is CastPlan => plan !== undefined);

describe('plugin next-angles', () => {
  it('gives quartering casts at least 30 deg from the first, then chords, each with its contact', () => {
    const { found, angles } = planMark({ bottom: bottomOf(point), band: [12 * feet, 18 * feet] });
    expect(angles.length).toBeGreaterThanOrEqual(2);
    expect(angles[0].kind).toBe('quartering');
    const kinds = angles.map(({ kind }) => (kind === 'quartering' ? 0 : 1));
    expect([...kinds].sort()).toEqual(kinds);
    for (const plan of angles) {
      expect(plan.fishContact).toBeGreaterThanOrEqual(1);
      if (plan.kind === 'quartering')
        expect(turnBetween(plan.bearing, found.downslope?.bearing ?? 0)).toBeGreaterThanOrEqual(30 - 1e-6);
    }
  });

  it('gives casts that differ from each other and from both sides by 30 deg or 25 m', () => {
    for (let seed = 0; seed < 24; seed++) {
      const { depth } = makeBottom(seed % 2 === 0 ? 'point' : 'hump', { seed });
      const bottom = bottomOf(depth, { half: 26, cellSize: 4 });
      const { found, angles } = planMark({ bottom, band: [bottom.depth - 0.9, bottom.depth + 0.9] });
      const all = sides([found.downslope, found.upslope, ...angles]);
      angles.forEach((plan) => {
        for (const other of all.slice(0, all.indexOf(plan)))
          expect(
            turnBetween(plan.bearing, other.bearing) >= 30 - 1e-6 ||
              Math.hypot(plan.boat.east - other.boat.east, plan.boat.north - other.boat.north) >= 25,
          ).toBe(true);
      });
    }
  });

  it('quarters the shallow side if there is no deep one', () => {
    // Falls only to 17 ft, so no water is 2 ft deeper than the band.
    const shelf = (_east: number, north: number) => Math.min(Math.max(4.5 + 0.1 * north, 2.8), 5.3);
    const { found, angles } = planMark({ bottom: bottomOf(shelf), band: [3.7, 5.2] });
    expect(found.downslope).toBeUndefined();
    expect(found.upslope).toBeDefined();
    const quartering = angles.filter(({ kind }) => kind === 'quartering');
    expect(quartering.length).toBeGreaterThanOrEqual(1);
    for (const { boat } of quartering) expect(boat.depth).toBeLessThanOrEqual(3.7);
  });

  it('puts boats in deep water on both sides of a bar with fish on its top', () => {
    const { found } = planMark({ bottom: bottomOf(bar), band: [11 * feet, 14 * feet] });
    for (const plan of [found.downslope, found.upslope]) {
      expect(plan?.boat.depth).toBeGreaterThanOrEqual(16 * feet - 1e-6);
      expect(plan?.fishContact).toBeGreaterThan(5);
    }
    expect(turnBetween(found.downslope?.bearing ?? 0, found.upslope?.bearing ?? 0)).toBeGreaterThan(119);
  });

  it('gives none if no lure stays among the fish', () => {
    const { angles } = planMark({ bottom: bottomOf(() => 20), band: [15, 17] });
    expect(angles).toEqual([]);
  });
});
