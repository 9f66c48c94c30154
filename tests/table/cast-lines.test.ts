import { DOMParser } from '@xmldom/xmldom';
import { expect, test } from 'vitest';
import type { CastPlan } from '../../shared/contract/cast-plan.ts';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import { formatCastLines } from '../../src/formats/gpx/routes-gpx.ts';

const spot = (lat: number, lon: number, depth: number) => ({
  lat,
  lon,
  east: 0,
  north: 0,
  depth,
  depthSd: 0.2,
});
const EMPTY = new Float64Array(0);
const plan = {
  kind: 'downslope',
  boat: spot(40.001, -90.002, 8),
  landing: spot(40.0005, -90.0021, 4),
  bearing: 190,
  cast: 45,
  lure: '20 ft diver',
  lureDepth: 6.5,
  contact: 12,
  fishContact: 8,
  fishContactSd: 1,
  worth: 8,
  profile: { distance: EMPTY, bottom: EMPTY, bottomSd: EMPTY, lure: EMPTY },
} as unknown as CastPlan;

test('each boat position has a two-point route to its landing, with the same name and its comment', () => {
  const waypoint = { name: 'Bar <1>', index: 0 } as EnrichedWaypoint['waypoint'];
  const enriched = {
    waypoint,
    fields: { downslope: plan, angles: [plan, plan] },
    diagnostics: [],
  } as unknown as EnrichedWaypoint;
  const text = formatCastLines([enriched], { units: 'ft', bearings: 'T', angles: 1 });
  const document = new DOMParser().parseFromString(text, 'text/xml');
  const routes = [...document.getElementsByTagName('rte')];
  expect(routes.map((route) => route.getElementsByTagName('name')[0].textContent)).toEqual([
    'Bar <1> D',
    'Bar <1> A1',
  ]);
  const points = [...routes[0].getElementsByTagName('rtept')];
  expect(points.map((point) => [point.getAttribute('lat'), point.getAttribute('lon')])).toEqual([
    ['40.0010000', '-90.0020000'],
    ['40.0005000', '-90.0021000'],
  ]);
  expect(routes[0].getElementsByTagName('cmt')[0].textContent).toContain('cast 190T');
});
