import * as turf from '@turf/turf';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { indexEdges, isInside, type Polygon } from '../../shared/geo/polygon-edges.ts';
import { crossesClosed, isClosed, readShore, readZones, zonesAt } from '../../shared/geo/zones.ts';

const square = (west: number, south: number, size: number): number[][] => [
  [west, south],
  [west + size, south],
  [west + size, south + size],
  [west, south + size],
  [west, south],
];

const feature = (properties: object, ring: number[][]) => ({
  type: 'Feature',
  properties,
  geometry: { type: 'Polygon', coordinates: [ring] },
});

const zonesOf = (...features: object[]) =>
  readZones({ type: 'FeatureCollection', features }, 'zones.geojson');

describe('zones', () => {
  test('a place is inside a polygon with a hole exactly when turf says so', () => {
    const polygon: Polygon = [
      [
        [0, 0],
        [4, 1],
        [3, 4],
        [1.5, 2],
        [-1, 3],
        [0, 0],
      ],
      [
        [1, 0.5],
        [2, 0.8],
        [1.5, 1.5],
        [1, 0.5],
      ],
    ];
    const area = turf.polygon(polygon as [number, number][][]);
    // The offset keeps places off the edges, where either answer is right.
    const coordinate = fc.integer({ min: -1500, max: 4500 }).map((value) => value / 1000 + 0.00031);
    fc.assert(
      fc.property(coordinate, coordinate, (lon, lat) => {
        expect(isInside([indexEdges(polygon)], lat, lon)).toBe(turf.booleanPointInPolygon([lon, lat], area));
      }),
    );
  });

  test('closed and slow zones are distinguished, speeds are read with their units, and a zone with hours is free between them', () => {
    const { zones, diagnostics } = zonesOf(
      feature({ name: 'dam', rule: 'closed' }, square(0, 0, 0.01)),
      feature({ name: 'harbor', rule: 'slow', speed: '5mph' }, square(0.02, 0, 0.01)),
      feature({ name: 'bay', rule: 'slow', speed: '3 kn' }, square(0.025, 0, 0.01)),
      feature({ name: 'range', rule: 'closed', open: '07:00', close: '19:00' }, square(0.05, 0, 0.01)),
    );
    expect(diagnostics).toEqual([]);
    expect(isClosed(zones, 0.005, 0.005)).toBe(true);
    expect(isClosed(zones, 0.005, 0.022)).toBe(false);
    const speedsAt = (lon: number) => zonesAt(zones, 0.005, lon).map(({ speed }) => speed);
    expect(speedsAt(0.022)).toEqual([expect.closeTo(5 * 0.44704, 9)]);
    expect(speedsAt(0.027)).toEqual([expect.closeTo(5 * 0.44704, 9), expect.closeTo((3 * 1852) / 3600, 9)]);
    expect(speedsAt(0.005)).toEqual([undefined]);
    expect(isClosed(zones, 0.005, 0.055)).toBe(true);
    expect(isClosed(zones, 0.005, 0.055, { from: 8 * 3600, to: 12 * 3600 })).toBe(false);
    expect(isClosed(zones, 0.005, 0.055, { from: 6 * 3600, to: 12 * 3600 })).toBe(true);
  });

  test('a zone with hours is free from opening to closing, both included, for a place and for a run', () => {
    const { zones } = zonesOf(
      feature({ name: 'range', rule: 'closed', open: '07:00', close: '19:00' }, square(0, 0, 0.01)),
    );
    const hour = 3600;
    const answers = (from: number, to: number): boolean[] => [
      isClosed(zones, 0.005, 0.005, { from: from * hour, to: to * hour }),
      crossesClosed(zones, 0.005, -0.01, 0.005, 0.02, { from: from * hour, to: to * hour }),
    ];
    expect(answers(7, 19)).toEqual([false, false]);
    expect(answers(6.9, 10)).toEqual([true, true]);
    expect(answers(10, 19.1)).toEqual([true, true]);
    expect(answers(0, 24)).toEqual([true, true]);
    expect(crossesClosed(zones, 0.005, -0.01, 0.005, 0.02)).toBe(true);
  });

  test('a straight run that clips a corner of a closed zone crosses it, and one just outside does not', () => {
    const { zones } = zonesOf(feature({ name: 'dam', rule: 'closed' }, square(0, 0, 0.01)));
    expect(crossesClosed(zones, -0.001, 0.009, 0.002, 0.012)).toBe(true);
    expect(crossesClosed(zones, -0.001, 0.0095, -0.0005, 0.012)).toBe(false);
  });

  test.each([
    ['a file that is not GeoJSON', [1, 2], 'zones/geojson'],
    [
      'a line',
      { type: 'Feature', properties: {}, geometry: { type: 'LineString', coordinates: [] } },
      'zones/geometry',
    ],
    ['an open ring', feature({ rule: 'closed' }, square(0, 0, 1).slice(0, 4)), 'zones/coordinates'],
    ['an unknown rule', feature({ rule: 'shut' }, square(0, 0, 1)), 'zones/rule'],
    ['a speed without unit', feature({ rule: 'slow', speed: 5 }, square(0, 0, 1)), 'zones/speed'],
    [
      'an opening time without a closing time',
      feature({ rule: 'closed', open: '07:00' }, square(0, 0, 1)),
      'zones/hours',
    ],
  ])('%s is refused with one message', (_, value, code) => {
    const { diagnostics } = readZones(value, 'zones.geojson');
    expect(diagnostics.map((diagnostic) => diagnostic.code)).toEqual([code]);
    expect(diagnostics[0].severity).toBe('error');
    expect(diagnostics[0].message).toMatch(/^[^.]+\. [^.]+\.$|RFC 7946/);
  });

  test('a closing time alone is named before the opening time that is missing', () => {
    const value = feature({ rule: 'closed', name: 'Dam', close: '19:00' }, square(0, 0, 1));
    expect(readZones(value, 'zones.geojson').diagnostics[0].message).toMatch(
      /^"Dam" has close "19:00", but no open\. Set both /,
    );
  });

  test('an unnamed zone is called by its number among all features', () => {
    const point = { type: 'Feature', properties: {}, geometry: { type: 'Point', coordinates: [0, 0] } };
    const value = {
      type: 'FeatureCollection',
      features: [point, feature({ rule: 'shut' }, square(0, 0, 1))],
    };
    const { diagnostics } = readZones(value, 'zones.geojson');
    expect(diagnostics.map(({ message }) => message)).toEqual([
      expect.stringMatching(/^Feature 1 is a Point/),
      expect.stringMatching(/^"zone 2" has rule "shut"\./),
    ]);
  });

  test('a file without zones or without a shoreline is warned about once', () => {
    const codes = ({ diagnostics }: ReturnType<typeof zonesOf>) =>
      diagnostics.map(({ severity, code }) => `${severity} ${code}`);
    expect(codes(zonesOf())).toEqual(['warning zones/no-zones']);
    const { diagnostics } = readShore({ type: 'FeatureCollection', features: [] }, 'shore.geojson');
    expect(diagnostics.map(({ code }) => code)).toEqual(['zones/no-shore']);
    expect(zonesOf({}).diagnostics.map(({ code }) => code)).toEqual(['zones/geometry']);
  });

  test('overlapping zones of different rules are reported once', () => {
    const { zones, diagnostics } = zonesOf(
      feature({ name: 'a', rule: 'closed' }, square(0, 0, 0.01)),
      feature({ name: 'b', rule: 'slow', speed: '5mph' }, square(0.005, 0, 0.01)),
    );
    expect(zones).toHaveLength(2);
    expect(diagnostics.map(({ code }) => code)).toEqual(['zones/overlap']);
  });

  test('a polygon across the 180th meridian is refused unless it is cut there', () => {
    const uncut = [
      [179.9, 0],
      [-179.9, 0],
      [-179.9, 0.1],
      [179.9, 0.1],
      [179.9, 0],
    ];
    expect(zonesOf(feature({ rule: 'closed' }, uncut)).diagnostics.map(({ code }) => code)).toEqual([
      'zones/uncut',
    ]);
    const cut = {
      ...feature({ rule: 'closed' }, []),
      geometry: { type: 'MultiPolygon', coordinates: [[square(179.9, 0, 0.1)], [square(-180, 0, 0.1)]] },
    };
    const { zones, diagnostics } = zonesOf(cut);
    expect(diagnostics).toEqual([]);
    expect([179.95, -179.95, 179.85, -179.85].map((lon) => isClosed(zones, 0.05, lon))).toEqual([
      true,
      true,
      false,
      false,
    ]);
    expect(crossesClosed(zones, 0.05, 179.8, 0.05, -179.8)).toBe(true);
    expect(crossesClosed(zones, 0.2, 179.8, 0.2, -179.8)).toBe(false);
  });

  test('a zone with many corners and a hole judges places and runs as turf does', () => {
    const ring = (corners: number, size: number): number[][] => {
      const places = Array.from({ length: corners }, (_, i) => {
        const angle = (2 * Math.PI * i) / corners;
        const reach = size * (1 + 0.4 * Math.sin(7 * angle) + 0.05 * Math.sin(83 * angle));
        return [reach * Math.cos(angle), reach * Math.sin(angle)];
      });
      return [...places, places[0]];
    };
    const coordinates = [ring(600, 0.02), ring(90, 0.008)];
    const bay = {
      ...feature({ name: 'bay', rule: 'closed' }, []),
      geometry: { type: 'Polygon', coordinates },
    };
    const { zones, diagnostics } = zonesOf(bay);
    expect(diagnostics).toEqual([]);
    const area = turf.polygon(coordinates);
    const degree = fc.double({ min: -0.03, max: 0.03, noNaN: true });
    fc.assert(
      fc.property(degree, degree, degree, degree, (lat1, lon1, lat2, lon2) => {
        expect(isClosed(zones, lat1, lon1)).toBe(turf.booleanPointInPolygon([lon1, lat1], area));
        const run = turf.lineString([
          [lon1, lat1],
          [lon2, lat2],
        ]);
        expect(crossesClosed(zones, lat1, lon1, lat2, lon2)).toBe(turf.booleanIntersects(run, area));
      }),
    );
  });

  test('a zone inside another with a different rule overlaps it; one in its hole does not', () => {
    const closed = {
      ...feature({ rule: 'closed' }, []),
      geometry: { type: 'Polygon', coordinates: [square(0, 0, 1), square(0.4, 0.4, 0.2)] },
    };
    const codes = (ring: number[][]): string[] =>
      zonesOf(closed, feature({ rule: 'slow', speed: '5mph' }, ring)).diagnostics.map(({ code }) => code);
    expect(codes(square(0.1, 0.1, 0.1))).toEqual(['zones/overlap']);
    expect(codes(square(-1, -1, 3))).toEqual(['zones/overlap']);
    expect(codes(square(0.45, 0.45, 0.1))).toEqual([]);
    expect(codes(square(0.35, 0.45, 0.1))).toEqual(['zones/overlap']);
    expect(codes(square(2, 0, 0.1))).toEqual([]);
  });
});
