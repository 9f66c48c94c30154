import type { Feature, Geometry } from 'geojson';
import { defineReaderPlugin, type ReadWaypoint, Refusal } from '../../../shared/contract/index.ts';
import { readerMessages as says } from '../../../shared/text/index.ts';
import {
  degreesFrom,
  fitDegrees,
  headText,
  pointsTable,
  type TablePoint,
  textOf,
  whole,
} from '../open/index.ts';

/** Reader of GeoJSON points (RFC 7946). Depth is a property or the third coordinate. */
export const readGeojson = defineReaderPlugin({
  name: 'geojson',
  summary: 'Reads GeoJSON points with depth as a property or third coordinate.',
  stage: 'reader',
  extensions: ['.geojson', '.json'],
  options: {},
  sniff(head) {
    const text = headText(head, head.length).trimStart();
    return (
      /^\{/.test(text) &&
      /"type"\s*:\s*"(?:Feature(?:Collection)?|(?:Multi)?Point|GeometryCollection)"/.test(text)
    );
  },
  async read({ file, bytes }, _options, context) {
    const root: unknown = await whole(file, 'a GeoJSON file', () =>
      JSON.parse(textOf(bytes).replace(/^\uFEFF/, '')),
    );
    const said = crsOf(root);
    const places = featuresOf(root).flatMap((feature) =>
      positionsOf(feature.geometry).map((position) => ({ position, feature })),
    );
    if (places.length === 0)
      throw new Refusal([says['nothing-inside']({ file }, 'a GeoJSON file', 'points')]);
    const toDegrees = await degreesFrom(said, fitDegrees(places.map(({ position }) => position)), context);
    const points = places.map(({ position: [x, y, z], feature }): TablePoint => {
      const [lon, lat] = toDegrees(x, y);
      return { lon, lat, z, values: feature.properties ?? {} };
    });
    return {
      files: [{ name: '', bytes: pointsTable(points), record: 'point' }],
      waypoints: points.map(waypointOf),
    };
  },
});

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null;

function featuresOf(root: unknown): Pick<Feature, 'geometry' | 'properties'>[] {
  if (!isObject(root)) return [];
  if (root.type === 'FeatureCollection')
    return Array.isArray(root.features)
      ? root.features.flatMap((each) => (isObject(each) ? featuresOf(each) : []))
      : [];
  if (root.type !== 'Feature') return [{ geometry: root as unknown as Geometry, properties: {} }];
  if (!isObject(root.geometry)) return [];
  const properties = isObject(root.properties) ? root.properties : {};
  return [{ geometry: root.geometry as unknown as Geometry, properties }];
}

type Position = readonly [x: number, y: number, z?: number];

function positionsOf(geometry: unknown): Position[] {
  if (!isObject(geometry)) return [];
  const { type, coordinates, geometries } = geometry;
  if (type === 'Point') return isPosition(coordinates) ? [coordinates] : [];
  if (type === 'MultiPoint' && Array.isArray(coordinates)) return coordinates.filter(isPosition);
  if (type === 'GeometryCollection' && Array.isArray(geometries))
    return geometries.flatMap((each) => (isObject(each) && each.type !== type ? positionsOf(each) : []));
  return [];
}

const isPosition = (value: unknown): value is Position =>
  Array.isArray(value) && value.length >= 2 && value.every((each) => typeof each === 'number');

/** Returns the coordinate system that a file names; undefined for no name, or for WGS 84 in degrees. */
function crsOf(root: unknown): string | undefined {
  const crs =
    isObject(root) && isObject(root.crs) && isObject(root.crs.properties)
      ? root.crs.properties.name
      : undefined;
  return typeof crs !== 'string' || /CRS84|:4326$/i.test(crs) ? undefined : crs;
}

function waypointOf({ lat, lon, values }: TablePoint): ReadWaypoint {
  const text = (...names: string[]): string | undefined => {
    const found = names
      .map((name) => values[name])
      .find((value) => typeof value === 'string' && value !== '');
    return found as string | undefined;
  };
  return {
    lat,
    lon,
    name: text('name', 'Name', 'title'),
    comment: text('cmt', 'comment'),
    symbol: text('sym'),
  };
}
