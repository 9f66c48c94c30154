import { describe, expect, test } from 'vitest';
import type { BottomModel } from '../../shared/contract/bottom-model.ts';
import type { CastPlan } from '../../shared/contract/cast-plan.ts';
import { castPlanner } from '../../shared/retrieve/cast-planner.ts';
import {
  type CastRule,
  downslopeRules,
  standOff,
  turnBetween,
  upslopeRules,
} from '../../shared/retrieve/cast-rules.ts';
import { chooseCast } from '../../shared/retrieve/choose-cast.ts';
import { fishAt, placeWeight } from '../../shared/retrieve/fish.ts';
import { candidateBetween, findCandidates } from '../../shared/retrieve/search.ts';
import { leastDepthAround } from '../../shared/retrieve/side.ts';
import { bottomOf } from './analytic-bottom.ts';
import { planMark } from './plan-marks.ts';

/** A bank that deepens to the north, from 2.8 m to 9.5 m. */
const bank = (east: number, north: number): number =>
  Math.min(Math.max(4.5 + 0.1 * north + 0.00012 * (east - 6) ** 2, 2.8), 9.5);
const BAND = { top: 3.7, bottom: 5.5 };
const SD = 0.5;
const DRAFT = 2.3;

const bottom = bottomOf(bank, { sd: SD });
const unset = { lures: undefined, wind: undefined, current: undefined, zones: undefined };
const options = { line: '12', cast: 45.72, draft: DRAFT, hazards: [], ...unset };
const planner = castPlanner(bottom, bottom.grid!, { band: BAND, isStated: true }, options, []);
const rule: CastRule = upslopeRules(planner.space.fish, DRAFT)[1];
const deepRule: CastRule = downslopeRules(planner.space.fish, DRAFT)[1];

/** Returns `bottom` with a rock at one node; lengths in m. */
function withRock(east: number, north: number, depth: number): BottomModel {
  const { size, cellSize } = bottom.grid!;
  const half = (size - 1) / 2;
  const node = Math.round(north / cellSize + half) * size + Math.round(east / cellSize + half);
  const grid = { ...bottom.grid!, depth: bottom.grid!.depth.slice() };
  grid.depth[node] = depth;
  return { ...bottom, grid };
}

describe('the draft of the boat', () => {
  test('is compared with the depth minus two standard deviations, at the boat and around it', () => {
    const even = bottomOf(() => 6, { sd: 0.4 });
    const boat = { east: 0, north: 0, depth: 6, depthSd: 0.4 };
    expect(leastDepthAround(even.grid!, boat)).toBeCloseTo(6 - 2 * 0.4, 9);
    expect(leastDepthAround(even.grid!, { ...boat, depthSd: 1 })).toBeCloseTo(6 - 2 * 1, 9);
    expect(leastDepthAround(bottomOf(() => 6, { sd: 1 }).grid!, boat)).toBeCloseTo(6 - 2 * 1, 9);
    // A rock 5 m away is inside the swing, one 12.5 m away is not.
    expect(leastDepthAround(withRock(5, 0, 1).grid!, boat)).toBeLessThan(2);
    expect(leastDepthAround(withRock(12.5, 0, 1).grid!, boat)).toBeGreaterThan(2.5);
  });

  test('limits every candidate boat position', () => {
    const found = findCandidates(planner.space, rule);
    expect(found.length).toBeGreaterThan(0);
    for (const { line, boat } of found)
      expect(line.depth[boat] - 2 * line.sd[boat]).toBeGreaterThanOrEqual(DRAFT);
    // Without the two standard deviations there would be shallower candidates.
    const shallower = findCandidates(planner.space, { ...rule, draft: DRAFT - SD });
    expect(Math.min(...shallower.map(({ line, boat }) => line.depth[boat] - 2 * line.sd[boat]))).toBeLessThan(
      DRAFT,
    );
  });

  test('keeps a rock out of the swing of the boat, for new and earlier casts', () => {
    const mark = { bottom, band: [BAND.top, BAND.bottom], options } as const;
    const { boat, landing } = planMark(mark).found.downslope as CastPlan;
    const rock = withRock(boat.east, boat.north + 5, 1);
    const spare = (plan: CastPlan | undefined): number => leastDepthAround(rock.grid!, plan!.boat) - DRAFT;
    expect(leastDepthAround(rock.grid!, boat)).toBeLessThan(DRAFT);
    expect(spare(planMark({ ...mark, bottom: rock }).found.downslope)).toBeGreaterThanOrEqual(0);
    const earlier = { downslope: { boat, landing } };
    expect(spare(planMark({ ...mark, bottom: rock, earlier }).found.downslope)).toBeGreaterThanOrEqual(0);
    const { space } = castPlanner(rock, rock.grid!, { band: BAND, isStated: true }, options, []);
    expect(candidateBetween(space, deepRule, boat, landing)).toBeUndefined();
    expect(candidateBetween(planner.space, deepRule, boat, landing)).toBeDefined();
  });

  test('is pointed out with less than 1 ft to spare, but not with 2 ft', () => {
    const codesOver = (spare: number): string[] => {
      const { boat } = planMark({ bottom, band: [BAND.top, BAND.bottom], options }).found
        .downslope as CastPlan;
      const draft = leastDepthAround(bottom.grid!, boat) - spare;
      const { found, said } = planMark({
        bottom,
        band: [BAND.top, BAND.bottom],
        options: { ...options, draft },
      });
      expect(leastDepthAround(bottom.grid!, found.downslope!.boat) - draft).toBeGreaterThanOrEqual(0);
      return said.map(({ code }) => code);
    };
    expect(codesOver(0.2)).toContain('cast/downslope-boat-shallow');
    expect(codesOver(0.6)).not.toContain('cast/downslope-boat-shallow');
  });
});

test('the boat stays 50 ft off fish, 25 ft if their depth is stated, and never more than half a cast', () => {
  const band = { top: 3, bottom: 4 };
  expect(standOff({ stated: undefined }, 46)).toBeCloseTo(50 * 0.3048, 9);
  expect(standOff({ stated: band }, 46)).toBeCloseTo(25 * 0.3048, 9);
  expect(standOff({ stated: undefined }, 20)).toBe(10);
});

test('fish thin out over 12 m from a mark, 25 m if their depth is stated', () => {
  const [unknown, stated] = [false, true].map((isStated) => fishAt(bottom.grid!, BAND, isStated, 4.5, 46));
  expect(placeWeight(unknown, 12)).toBeCloseTo(Math.exp(-0.5), 9);
  expect(placeWeight(stated, 25)).toBeCloseTo(Math.exp(-0.5), 9);
  expect(placeWeight(unknown, 0)).toBe(1);
});

test('an earlier cast that is clearly worse than another is dropped', () => {
  const best = chooseCast(planner, deepRule)!;
  const [worst] = findCandidates(planner.space, deepRule)
    .filter(({ line }) => turnBetween(line.bearing, best.line.bearing) > 45)
    .sort((a, b) => a.score - b.score);
  expect(worst.score).toBeLessThan(best.score / 2);
  expect(chooseCast(planner, deepRule, worst)?.isKept).toBeUndefined();
});
