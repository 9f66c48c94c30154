import { describe, expect, it } from 'vitest';
import type { CastPlan } from '../../shared/contract/cast-plan.ts';
import { turnBetween } from '../../shared/retrieve/cast-rules.ts';
import { bottomOf } from './analytic-bottom.ts';
import { planMark } from './plan-marks.ts';

type Surface = (east: number, north: number) => number;
const between = (least: number, depth: number, most: number): number =>
  Math.min(Math.max(depth, least), most);

// Depth of surfaces, m, with the mark at the origin.
const hump: Surface = (e, n) => between(0, 4 + 0.09 * Math.hypot(e, n), 8);
const ridge: Surface = (_e, n) => between(0, 4 + 0.09 * Math.abs(n), 8);
const saddle: Surface = (e, n) => between(2.5, 5 + 0.0022 * n * n - 0.0022 * e * e, 8);
const ledge: Surface = (_e, n) => between(4, 5.5 + 0.15 * n, 7.5);
const channelEdge: Surface = (_e, n) => between(4, 4.2 + 0.3 * (n - 1), 9) - 0.02 * Math.min(n, 0) * -1;
const slope: Surface = (_e, n) => between(1.5, 5.5 + 0.05 * n, 20);
const point: Surface = (e, n) => between(3, 3 + 0.07 * (Math.hypot(e, Math.max(n + 38, 0)) - 8), 9);
const outsideTurn: Surface = (e, n) => between(3.2, 5.5 + 0.08 * (Math.hypot(e, n + 60) - 60), 8.5);
const insideTurn: Surface = (e, n) => between(3.2, 5.5 - 0.08 * (Math.hypot(e, n - 60) - 60), 8.5);
const ditch: Surface = (_e, n) => between(4, 7 - 0.09 * Math.abs(n), 8);
const hole: Surface = (e, n) => between(4, 7 - 0.09 * Math.hypot(e, n), 8);
const flat: Surface = () => 6;

const onMark = (surface: Surface, input: object = {}) => planMark({ bottom: bottomOf(surface), ...input });
const offMark = ({ boat }: CastPlan): number => Math.hypot(boat.east, boat.north);
const sides = ({ found }: ReturnType<typeof planMark>): CastPlan[] =>
  [found.downslope, found.upslope].filter((plan) => plan !== undefined);

describe('where to sit first and second when the depth of the fish is unknown', () => {
  it.each([
    ['hump', hump, 'downslope', 'opposite'],
    ['ridge', ridge, 'downslope', 'opposite'],
    ['saddle', saddle, 'downslope', 'upslope'],
    ['ledge', ledge, 'downslope', 'upslope'],
    ['slope', slope, 'downslope', 'upslope'],
    ['point', point, 'downslope', 'upslope'],
    ['outside turn', outsideTurn, 'downslope', 'upslope'],
    ['inside turn', insideTurn, 'downslope', 'upslope'],
    ['channel edge, its lip', channelEdge, 'downslope', undefined],
    ['ditch', ditch, undefined, 'upslope'],
    ['hole', hole, undefined, 'upslope'],
    ['flat', flat, 'flat', 'opposite'],
  ] as const)('%s', (_name, surface, first, second) => {
    const planned = onMark(surface);
    const { downslope, upslope } = planned.found;
    expect(downslope?.kind).toBe(first);
    if (second !== undefined) expect(upslope?.kind).toBe(second);
    const depth = surface(0, 0);
    for (const plan of sides(planned)) {
      expect(offMark(plan)).toBeGreaterThanOrEqual(15.24);
      expect(plan.worth).toBeGreaterThanOrEqual(3);
      expect(plan.worth).toBe(plan.fishContact);
      expect(plan.fishContactSd).toBeGreaterThanOrEqual(0);
    }
    if (first === 'downslope') expect(downslope?.boat.depth).toBeGreaterThanOrEqual(depth + 0.6096 - 1e-9);
    if (upslope?.kind === 'upslope') expect(upslope.boat.depth).toBeLessThanOrEqual(depth - 0.6096 + 1e-9);
    if (first === 'downslope' && upslope?.kind === 'opposite') {
      expect(upslope.boat.depth).toBeGreaterThanOrEqual(depth + 0.6096 - 1e-9);
      expect(turnBetween(downslope?.bearing ?? 0, upslope.bearing)).toBeGreaterThanOrEqual(120);
    }
  });

  it('casts over the crest of a ridge, at most quartering it', () => {
    const [first] = sides(onMark(ridge));
    expect(Math.abs(Math.cos((first.bearing * Math.PI) / 180))).toBeGreaterThanOrEqual(0.5 - 1e-9);
  });

  it('casts within 40 deg of the fall line of a slope', () => {
    const [deep, shallow] = sides(onMark(slope));
    expect(turnBetween(deep.bearing, 180)).toBeLessThanOrEqual(40);
    expect(turnBetween(shallow.bearing, 0)).toBeLessThanOrEqual(40);
  });

  it('says why a hump has two deep sides, and why a ditch has none', () => {
    expect(onMark(hump).codes).toContain('cast/opposite-deep-side');
    const { said } = onMark(ditch);
    expect(said.find(({ code }) => code === 'cast/downslope-no-boat')).toMatchObject({
      severity: 'note',
      message:
        'No deep-side spot: the boat needs 25.0 ft of water or more, deeper than the fish at 23.0 ft; the deepest within a cast is 23.0 ft.',
    });
  });

  it('offers the far rim of a ditch when its only side goes quiet', () => {
    const { found, angles } = onMark(ditch);
    const far = angles.find(({ kind }) => kind === 'opposite');
    expect(turnBetween(far?.bearing ?? 0, found.upslope?.bearing ?? 0)).toBeGreaterThanOrEqual(120);
    expect(far?.boat.depth).toBeLessThanOrEqual(7 - 0.6096 + 1e-9);
  });

  it('takes the side of a flat where the wind gives the longest cast', () => {
    const { found, codes } = onMark(flat, { options: { wind: '90@15mph' } });
    expect(codes).toContain('cast/flat');
    expect(turnBetween(found.downslope?.bearing ?? 0, 270)).toBeLessThanOrEqual(45);
    expect(found.downslope?.cast).toBeGreaterThan(45.72);
  });

  it('leaves out a side whose casts do not reach the fish, and says so', () => {
    const { found, said } = onMark((_e, n) => between(10, 14 + 0.1 * n, 20));
    expect(found).not.toHaveProperty('downslope_lat');
    expect(found.downslope).toBeUndefined();
    expect(said.map(({ code, severity }) => [code, severity])).toEqual([
      ['cast/downslope-no-contact', 'warning'],
      ['cast/upslope-no-contact', 'warning'],
      ['cast/lure-short', 'warning'],
    ]);
  });
});

describe('fish of stated depth', () => {
  it('off the bottom: a side without a cast is not called the shallow side', () => {
    const said = (draft: number) =>
      onMark((_e, n) => 9 + 0.002 * n, { band: [3, 4.2], options: { draft } }).said.map(
        ({ message }) => message,
      );
    expect(said(20)).toContainEqual(
      expect.stringMatching(/^No spot for the boat: your boat needs 65\.6 ft of water/),
    );
    expect(said(20)).not.toContainEqual(expect.stringMatching(/(?:shallow|deep)-side spot/));
  });

  it('off the bottom: a lure that runs at their depth past the mark, from any side, without contact', () => {
    const planned = onMark(() => 9, { band: [3, 4.2] });
    expect(planned.codes).toContain('cast/fish-off-bottom');
    expect(sides(planned).map(({ kind }) => kind)).toEqual(['flat', 'opposite']);
    for (const { profile, boat, isSuspended, contact, fishContact, worth } of sides(planned)) {
      expect(isSuspended).toBe(true);
      expect(contact).toBe(0);
      expect(fishContact).toBe(0);
      expect(worth).toBeGreaterThan(10);
      const atMark = profile.lure[Math.round(Math.hypot(boat.east, boat.north))];
      expect(atMark).toBeGreaterThanOrEqual(3);
      expect(atMark).toBeLessThanOrEqual(4.2);
    }
  });

  it('not at the depth of the mark: planned around the nearest ground of that depth', () => {
    const band = [4, 4.6];
    const { found } = onMark(slope, { band });
    for (const [declination, bearing] of [
      [7, '173M'],
      [undefined, '180T'],
    ])
      expect(
        onMark(slope, { band, declination }).said.find(({ code }) => code === 'cast/fish-moved')?.message,
      ).toBe(
        `Fish at 13.1 to 15.1 ft, but the mark is over 18.0 ft: planned on the nearest ground at their depth, 22 yd away toward ${bearing}.`,
      );
    expect(found.downslope?.landing.depth).toBeLessThanOrEqual(4);
  });

  it('below all ground within a cast: planned on the mark, with a warning', () => {
    const { found, said } = onMark(hump, { band: [12, 13] });
    expect(said.find(({ code }) => code === 'cast/fish-below-bottom')?.severity).toBe('warning');
    expect(found.downslope?.kind).toBe('downslope');
  });

  it('need a distance of only 25 ft, because their depth is known', () => {
    const steep: Surface = (_e, n) => between(2.5, 5 + 0.25 * n, 15);
    const { found } = onMark(steep, { band: [4.4, 5.6] });
    expect(offMark(found.downslope as CastPlan)).toBeGreaterThanOrEqual(7.6);
    expect(found.downslope?.boat.depth).toBeGreaterThanOrEqual(5.6 + 0.6096 - 1e-9);
  });
});

describe('a cast does not turn without a reason', () => {
  /** A point that leans to one side, so that no two bearings tie. */
  const leaning: Surface = (e, n) => point(e, n) + 0.006 * e;

  it.each([
    [
      'mirrored',
      (surface: Surface): Surface =>
        (e, n) =>
          surface(-e, n),
      (bearing: number) => 360 - bearing,
    ],
    [
      'turned by a quarter',
      (surface: Surface): Surface =>
        (e, n) =>
          surface(-n, e),
      (b: number) => b - 90,
    ],
  ])('on a bottom that is %s the cast is too', (_name, change, back) => {
    for (const surface of [leaning, ledge, slope]) {
      const one = onMark(surface).found;
      const other = onMark(change(surface)).found;
      for (const side of ['downslope', 'upslope'] as const) {
        const [a, b] = [one[side] as CastPlan, other[side] as CastPlan];
        const turned = turnBetween(back(b.bearing), a.bearing);
        if (a.equalBearing === undefined) expect(turned).toBeLessThan(20);
        expect(b.worth).toBeGreaterThan(0.97 * a.worth);
      }
    }
  });

  it('says when another side is as good, and only then', () => {
    expect(onMark(hump).codes).toContain('cast/equal-side');
    expect(onMark(hump).found.downslope?.equalBearing).toBeDefined();
    expect(onMark(slope).found.downslope?.equalBearing).toBeUndefined();
    expect(onMark(slope).codes).not.toContain('cast/equal-side');
  });

  it('keeps an earlier cast that is as good, to the meter', () => {
    const first = onMark(hump).found;
    const { boat, landing, bearing } = first.upslope as CastPlan;
    // All sides of a hump are equally good, so the second cast can serve as the earlier first cast.
    const again = onMark(hump, { earlier: { downslope: { boat, landing } } }).found.downslope;
    expect(again?.isKept).toBe(true);
    expect(turnBetween(again?.bearing ?? 0, bearing)).toBeLessThan(0.1);
    expect(
      Math.hypot((again?.boat.east ?? 0) - boat.east, (again?.boat.north ?? 0) - boat.north),
    ).toBeLessThan(1);
  });

  it('drops an earlier cast that is clearly worse or that the water no longer allows', () => {
    const { downslope } = onMark(slope).found;
    for (const turned of [
      (e: number, n: number) => slope(n, -e),
      (e: number, n: number) => slope(-e, -n),
    ] as Surface[]) {
      const { boat, landing } = downslope as CastPlan;
      const after = onMark(turned, { earlier: { downslope: { boat, landing } } }).found.downslope;
      expect(after?.isKept).toBeUndefined();
      expect(turnBetween(after?.bearing ?? 0, downslope?.bearing ?? 0)).toBeGreaterThan(45);
    }
  });
});
