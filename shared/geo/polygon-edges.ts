import { pairs } from 'd3-array';
import Flatbush from 'flatbush';

type Point = readonly [lon: number, lat: number];
export type Ring = readonly Point[];
/** Outer ring, then holes; deg. */
export type Polygon = readonly Ring[];

/** Bounds of an area, deg unless stated otherwise. */
export interface Box {
  readonly west: number;
  readonly south: number;
  readonly east: number;
  readonly north: number;
}

type Edge = readonly [from: Point, to: Point];

/** Searches the edges of a polygon: returns those with a bounding box that meets a given box. */
export type PolygonEdges = (box: Box) => readonly Edge[];

/** Indexes the edges of a polygon of closed rings, to search long shorelines fast. */
export function indexEdges(polygon: Polygon): PolygonEdges {
  const edges = polygon.flatMap((ring) => pairs(ring));
  const index = new Flatbush(edges.length);
  for (const [[x1, y1], [x2, y2]] of edges)
    index.add(Math.min(x1, x2), Math.min(y1, y2), Math.max(x1, x2), Math.max(y1, y2));
  index.finish();
  return ({ west, south, east, north }) => index.search(west, south, east, north).map((edge) => edges[edge]);
}

/** True for a place inside any of the polygons, by the even-odd rule; holes are outside. */
export const isInside = (polygons: readonly PolygonEdges[], lat: number, lon: number): boolean =>
  polygons.some((edgesIn) => {
    const beside = edgesIn({ west: lon, south: lat, east: Number.POSITIVE_INFINITY, north: lat });
    const crossed = beside.filter(
      ([[x1, y1], [x2, y2]]) => y1 > lat !== y2 > lat && lon < x1 + ((lat - y1) / (y2 - y1)) * (x2 - x1),
    );
    return crossed.length % 2 === 1;
  });

/** True when the bounding box of any edge of the polygons meets a box. */
export const hasEdgesIn = (polygons: readonly PolygonEdges[], box: Box): boolean =>
  polygons.some((edgesIn) => edgesIn(box).length > 0);

/** True when a line, straight in latitude and longitude, meets an edge of the polygons. */
export function crossesPolygons(
  polygons: readonly PolygonEdges[],
  lat1: number,
  lon1: number,
  lat2: number,
  lon2: number,
): boolean {
  if (Math.abs(lon2 - lon1) > 180) {
    // The line crosses the 180th meridian: test it with one end moved by 360 deg, then with the other.
    const turn = lon2 > lon1 ? 360 : -360;
    return (
      crossesPolygons(polygons, lat1, lon1, lat2, lon2 - turn) ||
      crossesPolygons(polygons, lat1, lon1 + turn, lat2, lon2)
    );
  }
  const [west, east] = [Math.min(lon1, lon2), Math.max(lon1, lon2)];
  const [south, north] = [Math.min(lat1, lat2), Math.max(lat1, lat2)];
  const box = { west, south, east, north };
  return polygons.some((edgesIn) =>
    edgesIn(box).some((edge) => segmentsMeet([lon1, lat1], [lon2, lat2], ...edge)),
  );
}

function segmentsMeet(a: Point, b: Point, c: Point, d: Point): boolean {
  const turn = (p: Point, q: Point, r: Point): number =>
    Math.sign((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]));
  const isBetween = (p: Point, q: Point, r: Point): boolean =>
    [0, 1].every((k) => Math.min(p[k], q[k]) <= r[k] && r[k] <= Math.max(p[k], q[k]));
  const isOn = (p: Point, q: Point, r: Point): boolean => turn(p, q, r) === 0 && isBetween(p, q, r);
  if (turn(a, b, c) !== turn(a, b, d) && turn(c, d, a) !== turn(c, d, b)) return true;
  return isOn(a, b, c) || isOn(a, b, d) || isOn(c, d, a) || isOn(c, d, b);
}
