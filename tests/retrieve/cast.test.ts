import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import type { BottomModel } from '../../shared/contract/bottom-model.ts';
import type { CastPlan } from '../../shared/contract/cast-plan.ts';
import { geodesicInverse } from '../../shared/geo/geodesic.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { turnBetween } from '../../shared/retrieve/cast-rules.ts';
import { bottomOf } from './analytic-bottom.ts';
import { planMark } from './plan-marks.ts';

/**
 * A bank that deepens to the north at 10 %, from 2.8 m to 9.5 m, with a slight fan shape so that no two
 * bearings tie.
 */
const bank = (east: number, north: number): number =>
  Math.min(Math.max(4.5 + 0.1 * north + 0.0006 * (east - 6) ** 2 * 0.2, 2.8), 9.5);
const BAND = [3.7, 5.5] as const;

const distanceToMark = ({ boat, landing }: CastPlan): number => {
  const [de, dn] = [landing.east - boat.east, landing.north - boat.north];
  return Math.abs(boat.east * dn - boat.north * de) / Math.hypot(de, dn);
};

describe('plugin cast', () => {
  it('puts the deep-side boat over water deeper than the band and its landing over shallower water; the shallow side is the reverse', () => {
    const { found } = planMark({ bottom: bottomOf(bank), band: BAND });
    expect(found.downslope_depth).toBeGreaterThanOrEqual(5.5 + 0.6096 - 1e-9);
    expect(found.downslope_landing_depth).toBeLessThanOrEqual(3.7);
    expect(found.upslope_depth).toBeLessThanOrEqual(3.7);
    expect(found.upslope_landing_depth).toBeGreaterThanOrEqual(5.5);
  });

  it('gives fields that agree with the plan', () => {
    const { found } = planMark({ bottom: bottomOf(bank), band: BAND, declination: 7 });
    const plan = found.downslope as CastPlan;
    expect(found.downslope_lat).toBe(plan.boat.lat);
    expect(found.downslope_landing_lon).toBe(plan.landing.lon);
    expect(found.downslope_cast_true).toBe(plan.bearing);
    expect(found.downslope_cast_mag).toBeCloseTo((plan.bearing - 7 + 360) % 360, 9);
    expect(found.downslope_cast).toBe(plan.cast);
    expect(found.downslope_fish_contact).toBe(plan.fishContact);
    expect(found.lure).toBe(plan.lure);
  });

  it('leaves magnetic bearings out without a declination', () => {
    expect(planMark({ bottom: bottomOf(bank), band: BAND }).found.downslope_cast_mag).toBeUndefined();
  });

  it('gives positions whose distance and bearing by GeographicLib are those of the cast', () => {
    for (const lon of [-93, 179.9999, -179.9999]) {
      const { found } = planMark({ bottom: bottomOf(bank, { lat: 61, lon }), band: BAND });
      const { boat, landing, cast, bearing } = found.downslope as CastPlan;
      const line = geodesicInverse(boat.lat, boat.lon, landing.lat, landing.lon);
      expect(line.distance).toBeCloseTo(cast, 3);
      expect(turnBetween(line.bearing, bearing)).toBeLessThan(0.01);
      const frame = localFrame(61, lon);
      expect(frame.toLocal(boat.lat, boat.lon)[0]).toBeCloseTo(boat.east, 6);
    }
  });

  it('turns by 90 deg when the bottom does', () => {
    const turned = (east: number, north: number) => bank(-north, east);
    const one = planMark({ bottom: bottomOf(bank), band: BAND }).found;
    const other = planMark({ bottom: bottomOf(turned), band: BAND }).found;
    for (const side of ['downslope', 'upslope'] as const) {
      const [a, b] = [one[side] as CastPlan, other[side] as CastPlan];
      expect(turnBetween(b.bearing, a.bearing + 90)).toBeCloseTo(0, 6);
      expect(b.fishContact).toBeCloseTo(a.fishContact, 6);
      expect(b.boat.east).toBeCloseTo(a.boat.north, 6);
    }
  });

  it('shows a profile from the boat to the landing in which the lure is never below the bottom', () => {
    const { profile, cast } = planMark({ bottom: bottomOf(bank), band: BAND }).found.downslope as CastPlan;
    const { distance, bottom, bottomSd, lure } = profile;
    expect([bottom.length, bottomSd.length, lure.length]).toEqual([
      distance.length,
      distance.length,
      distance.length,
    ]);
    expect(distance[0]).toBe(0);
    expect(distance.at(-1)).toBe(cast);
    for (let i = 1; i < distance.length; i++) expect(distance[i]).toBeGreaterThan(distance[i - 1]);
    for (let i = 0; i < lure.length; i++) expect(lure[i]).toBeLessThan(bottom[i] + 0.1);
    expect(lure.at(-1)).toBeCloseTo(0, 1);
  });

  it('names the next deeper lure, which touches more', () => {
    const plan = planMark({ bottom: bottomOf(bank), band: BAND }).found.downslope as CastPlan;
    expect(plan.deeper?.lureDepth).toBeGreaterThan(plan.lureDepth);
    expect(plan.deeper?.contact).toBeGreaterThan(plan.contact);
  });

  it('gives the same result twice and does not modify the bottom', () => {
    const bottom = bottomOf(bank);
    const before = structuredClone(bottom);
    const one = planMark({ bottom, band: BAND }).found;
    expect(planMark({ bottom, band: BAND }).found).toEqual(one);
    expect(bottom).toEqual(before);
  });

  it('keeps its rules on any bottom', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...STRUCTURE_WORDS),
        fc.nat(5000),
        fc.double({ min: 0.5, max: 1.5, noNaN: true }),
        (word, seed, half) => {
          const { depth } = makeBottom(word, { seed });
          const bottom = bottomOf(depth, { half: 26, cellSize: 4 });
          const band = [Math.max(bottom.depth - half, 0.3), bottom.depth + half] as const;
          const { found, angles } = planMark({ bottom, band });
          const { downslope, upslope } = found;
          const isLevel = downslope?.kind === 'flat';
          for (const plan of [downslope, upslope, ...angles]) {
            if (plan === undefined) continue;
            expect(plan.boat.depth).toBeGreaterThanOrEqual(0.9144);
            if (!isLevel) expect(plan.boat.depth <= band[0] || clearance(plan, band[1]) >= 0.6095).toBe(true);
            expect(distanceToMark(plan)).toBeLessThanOrEqual(5 + 1e-9);
            expect(plan.cast).toBeLessThanOrEqual(45.72 + 1e-9);
            expect(plan.contact).toBeGreaterThanOrEqual(plan.fishContact - 1e-9);
            for (const value of [plan.contact, plan.fishContact, plan.lureDepth, plan.bearing, plan.boat.lat])
              expect(Number.isFinite(value)).toBe(true);
          }
          if (downslope?.kind === 'downslope')
            expect(clearance(downslope, band[1])).toBeGreaterThanOrEqual(0.6095);
          if (upslope?.kind === 'upslope') expect(upslope.boat.depth).toBeLessThanOrEqual(band[0]);
          if (upslope?.kind === 'opposite')
            expect(turnBetween(upslope.bearing, downslope?.bearing ?? 0)).toBeGreaterThanOrEqual(120 - 1e-6);
        },
      ),
      { numRuns: 60 },
    );
  });
});

/** Returns how much deeper the water at the boat is than the fish, m, plus its sd of up to half a foot. */
const clearance = ({ boat }: CastPlan, deepest: number): number =>
  boat.depth + Math.min(boat.depthSd, 0.1524) - deepest;

/** Returns the bottom without support north of a line, m. */
function withoutSupport(bottom: BottomModel, line: number): BottomModel {
  const { grid } = bottom;
  if (grid === undefined) throw new Error('no grid');
  const half = (grid.size - 1) / 2;
  const supported = grid.supported.map((_one, node) =>
    (Math.floor(node / grid.size) - half) * grid.cellSize > line ? 0 : 1,
  );
  return { ...bottom, grid: { ...grid, supported } };
}

describe('where the bottom does not allow a cast', () => {
  it('leaves out a side and says that no water is deep enough for the boat', () => {
    const shelf = (_east: number, north: number) => Math.min(Math.max(4.5 + 0.1 * north, 2.8), 5.8);
    const { found, said } = planMark({ bottom: bottomOf(shelf), band: BAND });
    expect(found.downslope).toBeUndefined();
    expect(found.downslope_lat).toBeUndefined();
    expect(found.upslope?.kind).toBe('upslope');
    expect(said.map(({ severity, message }) => [severity, message])).toContainEqual([
      'note',
      'No deep-side spot: the boat needs 20.0 ft of water or more, deeper than the fish at 12.1 to 18.0 ft; the deepest within a cast is 19.0 ft.',
    ]);
  });

  it('names the draft as the cause where the boat needs more water than the fish do', () => {
    const { said } = planMark({ bottom: bottomOf(bank), options: { draft: 15 } });
    expect(said.find(({ code }) => code === 'cast/downslope-no-boat')?.message).toMatch(
      /^No deep-side spot: your boat needs 49\.2 ft of water \(--draft\), and the deepest within a cast is 29\.\d ft\.$/,
    );
  });

  it('names no side and gives no advice to cast where no lure reaches fish off the bottom', () => {
    const { said } = planMark({ bottom: bottomOf(() => 22), band: [17, 18] });
    const messages = said.map(({ message }) => message);
    expect(messages).toContain('No spot for the boat: no cast brings a lure to the fish.');
    expect(messages.join()).toContain('comes up to them: planned off the bottom, through the fish.');
  });

  it('lands at the depth of the fish when nothing is shallower', () => {
    const bottom = bottomOf((_e, north) => Math.max(4.5 + 0.1 * north, 4));
    const { found, codes } = planMark({ bottom, band: BAND });
    expect(found.downslope?.landing.depth).toBeGreaterThanOrEqual(4 - 1e-9);
    expect(found.upslope).toBeUndefined();
    expect(codes).toContain('cast/upslope-no-boat');
  });

  it('accepts water up to half a foot short of 2 ft below the fish, if the standard deviation of the depth is as large', () => {
    // Fish go down to 18 ft, and the water within a cast to 19.6 ft: 0.4 ft short of 20 ft.
    const gentle = (_east: number, north: number) => Math.min(Math.max(4.8 - 0.03 * north, 3), 19.6 * 0.3048);
    const kindWith = (sd: number) =>
      planMark({ bottom: bottomOf(gentle, { sd }), band: BAND }).found.downslope;
    expect(kindWith(0.2)?.kind).toBe('downslope');
    expect(kindWith(0.1)).toBeUndefined();
  });

  it('says that no line passes the fish if a shoal surrounds them', () => {
    // A pit 8 m wide next to the mark does not matter, because the ground falls to the south.
    const pit = (east: number, north: number) => (Math.hypot(east - 6, north) < 4 ? 8 : 4.5 - 0.1 * north);
    const { codes } = planMark({ bottom: bottomOf(pit, { half: 55, cellSize: 1 }) });
    expect(codes.filter((code) => code.startsWith('cast/downslope'))).toEqual([]);
    const walled = (east: number, north: number) =>
      Math.abs(Math.hypot(east, north) - 12) < 4 ? 0.2 : Math.hypot(east, north) < 8 ? 4.5 : 8;
    expect(planMark({ bottom: bottomOf(walled, { half: 55, cellSize: 1 }) }).codes).toContain(
      'cast/downslope-no-line',
    );
  });

  it('reports that there is no bottom at all', () => {
    const bottom: BottomModel = { ...bottomOf(bank), status: 'no-data', grid: undefined };
    const { found, codes, angles } = planMark({ bottom, band: BAND });
    expect(found).toEqual({});
    expect(angles).toEqual([]);
    expect(codes).toEqual(['cast/no-bottom']);
  });

  it('does not sit or cast over unsounded bottom', () => {
    const bottom = withoutSupport(bottomOf(bank), 12);
    const { found, codes } = planMark({ bottom, band: BAND });
    expect(found.downslope).toBeUndefined();
    expect(codes).toContain('cast/downslope-no-boat');
  });

  it('does not sit in less water than the draft, or where the model is not sure of it', () => {
    const shallow = planMark({ bottom: bottomOf(bank), band: BAND, options: { draft: 2.7 } }).found.upslope;
    expect(shallow?.boat.depth).toBeGreaterThanOrEqual(2.7);
    const unsure = planMark({ bottom: bottomOf(bank, { sd: 0.5 }), band: BAND, options: { draft: 2.7 } });
    expect(unsure.found.upslope).toBeUndefined();
    expect(unsure.codes).toContain('cast/upslope-draft');
  });

  it('finds the only possible line', () => {
    // Deep water to the north. The only ground above the fish is 3 m wide, 30 m away, between the bearings
    // tried first.
    const rad = (183.8 * Math.PI) / 180;
    const [east0, north0] = [30 * Math.sin(rad), 30 * Math.cos(rad)];
    const lonely = (east: number, north: number) =>
      Math.hypot(east - east0, north - north0) < 1.6 ? 3 : Math.min(Math.max(4.5 + 0.12 * north, 4.2), 8);
    const { found } = planMark({ bottom: bottomOf(lonely, { half: 55, cellSize: 1 }), band: BAND });
    expect(found.downslope?.landing.depth).toBeLessThanOrEqual(BAND[0]);
    expect(Math.abs((found.downslope?.bearing ?? 0) - 183.8)).toBeLessThan(10);
  });

  it('points out a boat position with little depth to spare', () => {
    const { found, codes } = planMark({
      bottom: bottomOf(bank, { sd: 0.2 }),
      band: BAND,
      options: { draft: 2.38 },
    });
    expect(found.upslope).toBeDefined();
    expect(codes).toContain('cast/upslope-boat-shallow');
  });

  it('does not call a lure the deepest that was picked for another depth of the mark', () => {
    const { codes } = planMark({
      bottom: bottomOf((e, n) => bank(e, n) + 4),
      band: [2, 2.5],
      source: 'depth',
    });
    expect(codes).not.toContain('cast/lure-short');
  });

  it('judges the lure by the cast that is given, not by one that is left out', () => {
    const slope = (_east: number, north: number) => 8 - 0.05 * north;
    const { found, codes } = planMark({ bottom: bottomOf(slope), options: { wind: '0@20mph' } });
    expect(found.downslope).toBeUndefined();
    expect(found.upslope).toBeDefined();
    expect(codes).toContain('cast/downslope-no-contact');
    expect(codes).not.toContain('cast/lure-short');
  });

  it('reports that no lure reaches the fish', () => {
    const deep = (east: number, north: number) => bank(east, north) + 12;
    const { found, codes, said } = planMark({ bottom: bottomOf(deep), band: [15.7, 17.5] });
    expect(found.lure).toBeUndefined();
    expect(codes).toContain('cast/downslope-no-contact');
    expect(said.find(({ code }) => code === 'cast/lure-short')?.message).toMatch(
      /^The lure stays above the deepest fish, at 57\.4 ft: the deepest lure planned with, 25 ft diver, gets to 2\d\.\d ft on a \d+ yd cast\. If you have a deeper one, list your lures with --lures\.$/,
    );
  });
});

describe('tackle, hazards, wind and current', () => {
  const file = {
    file: 'box.csv',
    header: ['name', 'label_ft', 'reaches_ft', 'cast_m', 'line_lb'],
    rows: [
      { line: 2, values: { name: 'Blue', label_ft: '14', reaches_ft: '18', cast_m: '45', line_lb: '12' } },
      { line: 3, values: { name: 'Red', label_ft: '20', reaches_ft: '', cast_m: '', line_lb: '' } },
    ],
  };

  it("uses the user's own lures as calibrated", () => {
    const { found } = planMark({ bottom: bottomOf(bank), band: BAND, options: { lures: file } });
    expect(found.lure).toBe('Blue');
    // The box says 18 ft on 45 m, and the cast is a little longer: 50 yd.
    expect((found.lure_depth ?? 0) / 0.3048).toBeGreaterThan(18);
    expect((found.lure_depth ?? 0) / 0.3048).toBeLessThan(18.5);
  });

  it('casts no farther than the user does', () => {
    const { found } = planMark({ bottom: bottomOf(bank), band: BAND, options: { cast: 30 } });
    expect(found.downslope_cast).toBeLessThanOrEqual(30);
  });

  const frame = localFrame(45, -93);
  const markAt = (east: number, north: number, name: string) => {
    const [lat, lon] = frame.toGeographic(east, north);
    return { lat, lon, name, comment: '', description: '', symbol: '' };
  };

  it('avoids a cast over a hazard when another is as good', () => {
    const plain = planMark({ bottom: bottomOf(bank), band: BAND });
    const { boat, landing } = plain.found.downslope as CastPlan;
    const under = markAt(
      boat.east + 0.8 * (landing.east - boat.east),
      boat.north + 0.8 * (landing.north - boat.north),
      'Stumps',
    );
    const { found, codes } = planMark({ bottom: bottomOf(bank), band: BAND, waypoints: [under] });
    expect(found.downslope?.bearing).not.toBe(plain.found.downslope?.bearing);
    expect(codes).not.toContain('cast/hazard');
  });

  it('reports once that the mark itself is a hazard, not every cast over it, and plans as without it', () => {
    const { found, said } = planMark({
      bottom: bottomOf(bank),
      band: BAND,
      waypoints: [markAt(0, 0, 'C3 stump')],
    });
    expect(said.filter(({ code }) => code === 'cast/hazard')).toEqual([]);
    expect(said.filter(({ code }) => code === 'cast/on-hazard')).toEqual([
      {
        severity: 'note',
        code: 'cast/on-hazard',
        message: 'Lures may hang up here: you marked this spot itself "stump". Heavier line helps.',
      },
    ]);
    expect(found.downslope).toEqual(planMark({ bottom: bottomOf(bank), band: BAND }).found.downslope);
  });

  it('reports a hazard next to the mark, under every cast, by name and word', () => {
    const { said } = planMark({
      bottom: bottomOf(bank),
      band: BAND,
      waypoints: [markAt(0, 1, 'Brush pile 3')],
    });
    expect(said.find(({ code }) => code === 'cast/hazard')?.message).toBe(
      'The deep-side cast crosses "Brush pile 3" (brush). Use heavier line or another angle.',
    );
  });

  it('reports once the other marks that the casts cross or the boats sit near', () => {
    const ditch = bottomOf((_east, north) => Math.max(7 - 0.09 * Math.abs(north), 4));
    const { boat, landing } = planMark({ bottom: ditch }).found.upslope as CastPlan;
    const waypoints = [
      markAt(0, 0, 'this one'),
      markAt(landing.east, landing.north, 'over'),
      markAt(boat.east + 19, boat.north, 'by'),
      markAt(200, 0, 'elsewhere'),
    ];
    const { said } = planMark({ bottom: ditch, waypoints });
    const told = said.filter(({ code }) => code === 'cast/other-marks');
    expect(told).toHaveLength(1);
    expect(told[0].message).toMatch(/^Mind your other marks: .*\bover\b.*within 22 yd of by\.$/);
    expect(told[0].message).not.toMatch(/this one|elsewhere/);
  });

  it('reports that the only lure, a deep one, plows where the fish are shallow', () => {
    const box = { ...file, rows: [file.rows[1]] };
    const { said } = planMark({ bottom: bottomOf((e, n) => bank(e, n) - 1.7), options: { lures: box } });
    expect(said.find(({ code }) => code === 'cast/lure-ploughs')?.message).toMatch(
      /^Red will plow into the bottom: .* No shallower lure in your box reaches them\. If you have one that does, add it/,
    );
    expect(planMark({ bottom: bottomOf((e, n) => bank(e, n) - 1.7) }).codes).not.toContain(
      'cast/lure-ploughs',
    );
    const above = planMark({ bottom: bottomOf(() => 12), band: [1, 1.5], options: { lures: box } });
    expect(above.said.find(({ code }) => code === 'cast/lure-ploughs')?.message).toMatch(
      /^Red runs far below the fish: /,
    );
  });

  it('recognizes hazards only by whole words of the list', () => {
    const other = [markAt(0, 1, 'Brushy'), markAt(0, 1, 'Rocks')];
    expect(planMark({ bottom: bottomOf(bank), band: BAND, waypoints: other }).codes).not.toContain(
      'cast/hazard',
    );
    const list = { hazards: ['rock'] };
    expect(planMark({ bottom: bottomOf(bank), band: BAND, waypoints: other, options: list }).codes).toContain(
      'cast/hazard',
    );
  });

  it('shortens casts into the wind, lengthens casts with it, and says so', () => {
    // The deep side casts south.
    const against = planMark({ bottom: bottomOf(bank), band: BAND, options: { wind: '180@15mph' } });
    expect(against.found.downslope?.wind).toBe('into');
    expect(against.found.downslope_cast).toBeLessThan(0.85 * 45.72);
    expect(against.codes).toContain('cast/into-wind');
    expect(against.codes).toContain('cast/easier-side');
    const behind = planMark({ bottom: bottomOf(bank), band: BAND, options: { wind: '0@15mph' } });
    expect(behind.found.downslope?.wind).not.toBe('into');
    expect(behind.found.downslope_cast).toBeGreaterThan(45.72);
  });

  it('of equally good casts prefers the one that moves the lure with the current', () => {
    const even = (_east: number, north: number) => Math.min(Math.max(4.5 + 0.1 * north, 2.8), 9.5);
    // Casts go south; the retrieve comes north and leans west or east with the bearing.
    const leaning = (current: number) =>
      planMark({ bottom: bottomOf(even), band: BAND, options: { current } }).found.downslope as CastPlan;
    expect(Math.sin((leaning(90).bearing * Math.PI) / 180)).toBeLessThanOrEqual(1e-9);
    expect(Math.sin((leaning(270).bearing * Math.PI) / 180)).toBeGreaterThanOrEqual(-1e-9);
  });
});
