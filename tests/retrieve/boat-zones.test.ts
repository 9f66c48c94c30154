import { describe, expect, it } from 'vitest';
import type { CastPlan } from '../../shared/contract/cast-plan.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { isInside } from '../../shared/geo/polygon-edges.ts';
import { readZones } from '../../shared/geo/zones.ts';
import { bottomOf } from './analytic-bottom.ts';
import { planMark } from './plan-marks.ts';

/** A bank that deepens to the north. */
const bank = (east: number, north: number): number =>
  Math.min(Math.max(4.5 + 0.1 * north + 0.00012 * (east - 6) ** 2, 2.8), 9.5);
const BAND = [3.7, 5.5] as const;
const bottom = bottomOf(bank);
const frame = localFrame(bottom.lat, bottom.lon);

/** Makes a zones file with one rectangle, whose sides are given in m from the mark. */
function zonesFile(
  properties: object,
  [west, south, east, north]: readonly [number, number, number, number],
) {
  const corners = [
    [west, south],
    [east, south],
    [east, north],
    [west, north],
    [west, south],
  ].map(([x, y]) => frame.toGeographic(x, y).toReversed());
  const value = {
    type: 'Feature',
    properties: { name: 'dam', ...properties },
    geometry: { type: 'Polygon', coordinates: [corners] },
  };
  return { file: 'zones.geojson', value };
}

const planWith = (zones?: ReturnType<typeof zonesFile>) =>
  planMark({ bottom, band: BAND, options: zones === undefined ? {} : { zones } });
const free = planWith().found.downslope as CastPlan;

describe('zones in cast planning', () => {
  it('proposes no boat position in a closed zone or close enough to swing into one', () => {
    const { boat } = free;
    const zones = zonesFile({ rule: 'closed' }, [boat.east - 8, boat.north - 8, boat.east + 8, 200]);
    const { found, angles } = planWith(zones);
    const { edges } = readZones(zones.value, zones.file).zones[0];
    const plans = [found.downslope as CastPlan, found.upslope as CastPlan, ...angles];
    expect(plans.length).toBeGreaterThan(3);
    for (const { boat: place } of plans) {
      expect(isInside(edges, place.lat, place.lon)).toBe(false);
      const east = Math.max(boat.east - 8 - place.east, place.east - boat.east - 8, 0);
      const north = Math.max(boat.north - 8 - place.north, 0);
      expect(Math.hypot(east, north)).toBeGreaterThan(5.5);
    }
  });

  it('leaves out a side if all its positions are closed, with a message of its own, and keeps the other side', () => {
    const { found, said } = planWith(zonesFile({ rule: 'closed' }, [-200, 8, 200, 200]));
    expect(found.downslope).toBeUndefined();
    expect(found.downslope_lat).toBeUndefined();
    expect(found.upslope).toBeDefined();
    expect(said.find(({ code }) => code === 'cast/downslope-closed')?.message).toBe(
      'No deep-side spot: everywhere the boat could sit or swing is closed ("dam"). A zone closed at any hour counts as closed here.',
    );
  });

  it('reports a cast that goes over a closed zone from outside', () => {
    const { found, said } = planWith(zonesFile({ rule: 'closed' }, [-200, 8, 200, 200]));
    const { landing } = found.upslope as CastPlan;
    expect(landing.north).toBeGreaterThan(8);
    expect(said.find(({ code }) => code === 'cast/over-closed')?.message).toMatch(/shallow-side .* "dam"/);
  });

  it('counts a zone that is open only at some hours as closed', () => {
    const hours = { rule: 'closed', open: '08:00', close: '18:00' };
    expect(planWith(zonesFile(hours, [-200, 8, 200, 200])).codes).toContain('cast/downslope-closed');
  });

  it('adds only a note in a slow zone', () => {
    const { found, said } = planWith(zonesFile({ rule: 'slow', speed: '5mph' }, [-200, -200, 200, 200]));
    expect(found.downslope).toEqual(free);
    expect(said.find(({ code }) => code === 'cast/slow-zone')).toMatchObject({
      severity: 'note',
      message: 'The deep-side spot is in the slow zone "dam": 5 mph at most there.',
    });
  });

  it('changes nothing when a closed zone is elsewhere on the lake', () => {
    const { found, codes } = planWith(zonesFile({ rule: 'closed' }, [2000, 2000, 2500, 2500]));
    expect(found.downslope).toEqual(free);
    expect(codes).toEqual(planWith().codes);
  });
});
