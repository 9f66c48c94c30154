import { expect, test } from 'vitest';
import { type GeoSpot, lakeGeoJson } from '../../src/formats/geojson/geojson.ts';
import { enriched, GPX_11, gpx11, MARKS, read } from './helpers.ts';

interface Collection {
  readonly features: readonly {
    readonly properties: Readonly<Record<string, unknown>>;
    readonly geometry: { readonly type: string; readonly coordinates: unknown };
  }[];
}
const parse = (text: string): Collection => JSON.parse(text) as Collection;
const spot = (fileIndex: number, boatLon: number, landingLon: number): GeoSpot => ({
  file: 'marks.gpx',
  fileIndex,
  properties: { depth: 4.27, structure: 'ledge' },
  casts: [
    {
      side: 'downslope',
      boat: { lat: 45.0997, lon: boatLon },
      landing: { lat: 45.1003, lon: landingLon },
      properties: { cast_true: 12 },
    },
  ],
});

test('a file enriched before gives the same texts, without our summaries', () => {
  const textsOf = (content: string) =>
    parse(lakeGeoJson([read(content)], []).text).features.map(({ properties }) => [
      properties.name,
      properties.cmt,
      properties.desc,
    ]);
  expect(textsOf(enriched(MARKS))).toEqual(textsOf(MARKS));
});

test('each waypoint has its texts and results, and is followed by its boat position, landing and cast', () => {
  const { features } = parse(lakeGeoJson([read(MARKS)], [spot(0, -93.2, -93.2)]).text);
  expect(features.map(({ properties }) => properties.kind)).toEqual([
    'waypoint',
    'boat position',
    'landing',
    'cast',
    'waypoint',
    'waypoint',
  ]);
  expect(features[0].properties).toMatchObject({
    name: 'Long ledge south',
    cmt: 'fish 14-19 ft',
    depth: 4.27,
    structure: 'ledge',
  });
  expect(features[0].geometry).toEqual({ type: 'Point', coordinates: [-93.2, 45.1, 281.2] });
  expect(features[3].geometry).toEqual({
    type: 'LineString',
    coordinates: [
      [-93.2, 45.0997],
      [-93.2, 45.1003],
    ],
  });
  expect(features[3].properties).toMatchObject({ of: 'Long ledge south', side: 'downslope', cast_true: 12 });
});

test('additions of an earlier run are not shown as waypoints or comments', () => {
  const { features } = parse(lakeGeoJson([read(enriched(MARKS))], []).text);
  expect(features).toHaveLength(3);
  expect(features[0].properties.cmt).toBe('fish 14-19 ft');
});

test('a waypoint with unusable coordinates is left out, never misread', () => {
  const content = gpx11(
    '<wpt lat="59,5" lon="24"><name>a</name></wpt><wpt lat="59.5" lon="24"><name>b</name></wpt>',
  );
  expect(
    parse(lakeGeoJson([read(content)], []).text).features.map(({ properties }) => properties.name),
  ).toEqual(['b']);
});

test('routes and tracks are included', () => {
  const content = gpx11(
    '<rte><name>r</name><rtept lat="1" lon="2"/><rtept lat="2" lon="2"/></rte><trk><trkseg><trkpt lat="1" lon="2"/><trkpt lat="1" lon="3"/></trkseg></trk>',
  );
  const { features } = parse(lakeGeoJson([read(content)], []).text);
  expect(features.map(({ properties }) => properties.kind)).toEqual(['route', 'track']);
  expect(features[1].geometry).toEqual({
    type: 'LineString',
    coordinates: [
      [2, 1],
      [3, 1],
    ],
  });
});

test('a file with prefixed elements gives its waypoints, and reports that its tracks are left out', () => {
  const content = `<g:gpx xmlns:g="${GPX_11}" version="1.1" creator="t"><g:wpt lat="1" lon="2"><g:name>P</g:name></g:wpt><g:trk/></g:gpx>`;
  const { text, diagnostics } = lakeGeoJson([read(content)], []);
  expect(parse(text).features).toHaveLength(1);
  expect(parse(text).features[0]).toMatchObject({
    properties: { name: 'P' },
    geometry: { coordinates: [2, 1] },
  });
  expect(diagnostics.map(({ code }) => code)).toEqual(['gpx/geojson']);
});

// RFC 7946, section 3.1.9: lines that cross the antimeridian should be cut there.
test('a cast across the antimeridian is cut in two', () => {
  const { features } = parse(lakeGeoJson([read(MARKS)], [spot(0, 179.9998, -179.9999)]).text);
  const { type, coordinates } = features[3].geometry as { type: string; coordinates: [number, number][][] };
  expect(type).toBe('MultiLineString');
  expect(coordinates[0][1][0]).toBe(180);
  expect(coordinates[1][0][0]).toBe(-180);
  expect(coordinates[0][1][1]).toBeCloseTo(45.0997 + 0.0006 * (2 / 3), 7);
});
