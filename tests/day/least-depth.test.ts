import { describe, expect, test } from 'vitest';
import {
  cellAt,
  isRunnable,
  type KnownWater,
  knownWater,
  WATER,
  withZones,
} from '../../shared/day/known-water.ts';
import { runNetworks } from '../../shared/day/plan-day.ts';
import { readZones } from '../../shared/geo/zones.ts';
import { geographic, ringLake } from './lake.ts';
import { stateAt } from './state-at.ts';

const DRAFT = 0.9;
const MARGIN = 0.6;

/** True if the planner runs over a ring lake of this depth, m. */
const isRunOver = (depth: number): boolean => {
  const { input } = ringLake(2, 1);
  const survey = { ...input.survey, shallowest: input.survey.shallowest.map(() => depth) };
  const networks = runNetworks({ ...input, survey }, { draft: DRAFT, margin: MARGIN }, [], undefined)!;
  return networks.water.state.includes(WATER.known);
};

test('the boat runs over water 10 cm deeper than draft plus margin, but not over water 10 cm shallower', () => {
  expect(isRunOver(DRAFT + MARGIN + 0.1)).toBe(true);
  expect(isRunOver(DRAFT + MARGIN - 0.1)).toBe(false);
  expect(isRunOver(DRAFT)).toBe(false);
});

describe('the water map', () => {
  /** East and north of soundings every 5 m over a square of 200 m, m from its center. */
  const rows = Array.from({ length: 41 * 41 }, (_, at) => [
    5 * (at % 41) - 100,
    5 * Math.floor(at / 41) - 100,
  ]);
  const soundings = (rock: number) => ({
    count: rows.length,
    lat: Float64Array.from(rows, ([east, north]) => geographic(east, north)[0]),
    lon: Float64Array.from(rows, ([east, north]) => geographic(east, north)[1]),
    shallowest: Float32Array.from(rows, ([east, north]) => (east === 50 && north === 50 ? rock : 3)),
  });
  const ring = (half: number): [number, number][] =>
    [
      [-half, -half],
      [half, -half],
      [half, half],
      [-half, half],
      [-half, -half],
    ].map(([east, north]) => geographic(east, north).toReversed() as [number, number]);
  const stateOf = (water: KnownWater, east: number, north: number): number =>
    stateAt(water, ...geographic(east, north));

  test('is shallow within 20 m of a rock that is even slightly shallower than the minimum depth', () => {
    const stateAtRock = (rock: number, away: number): number =>
      stateOf(knownWater({ soundings: soundings(rock), leastDepth: 2, places: [] }), 50 + away, 50);
    expect([stateAtRock(1.9, 0), stateAtRock(1.9, 14)]).toEqual([WATER.shallow, WATER.shallow]);
    expect([stateAtRock(2.1, 0), stateAtRock(1.9, 28)]).toEqual([WATER.known, WATER.known]);
    expect(isRunnable(WATER.shallow)).toBe(false);
  });

  test('is land outside a shoreline and on its islands, whatever was sounded there', () => {
    const shore = [[ring(80), ring(30)]];
    const water = knownWater({ soundings: soundings(3), leastDepth: 2, shore, places: [] });
    for (const [east, north] of [
      [0, 0],
      [20, -20],
      [95, 0],
      [0, -95],
    ])
      expect(stateOf(water, east, north)).toBe(WATER.land);
    expect(stateOf(water, 55, 0)).toBe(WATER.known);
    // The shoreline itself runs through cells that are partly land.
    for (const along of [-60, 0, 60]) expect(isRunnable(stateOf(water, 80, along))).toBe(false);
    expect(isRunnable(WATER.land)).toBe(false);
  });

  test('is closed wherever a closed zone touches it, and as slow as the slowest zone requires', () => {
    const zone = (properties: object, half: number) => ({
      type: 'Feature',
      properties,
      geometry: { type: 'Polygon', coordinates: [ring(half)] },
    });
    const features = [
      zone({ rule: 'closed' }, 20),
      zone({ rule: 'slow', speed: '2 m/s' }, 60),
      zone({ rule: 'slow', speed: '4 m/s' }, 80),
    ];
    const { zones } = readZones({ type: 'FeatureCollection', features }, 'zones.geojson');
    const water = withZones(knownWater({ soundings: soundings(3), leastDepth: 2, places: [] }), zones, {
      from: 0,
      to: 86_400,
    });
    expect([stateOf(water, 0, 0), stateOf(water, 20, 0), stateOf(water, 40, 0)]).toEqual([
      WATER.closed,
      WATER.closed,
      WATER.known,
    ]);
    const limitAt = (east: number): number =>
      water.limit![cellAt(water, water.frame.toLocal(...geographic(east, 0)))];
    expect([limitAt(40), limitAt(70), limitAt(95)]).toEqual([2, 4, Infinity]);
  });
});
