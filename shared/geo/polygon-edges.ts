import Flatbush from 'flatbush';

export type Ring = readonly (readonly [lon: number, lat: number])[];
/** Outer ring, then holes; deg. */
export type Polygon = readonly Ring[];

/** Bounds of an area, deg unless said otherwise. */
export interface Box {
  readonly west: number;
  readonly south: number;
  readonly east: number;
  readonly north: number;
}

/** The edges of one polygon with a spatial index, so that a shoreline of 20,000 corners answers as fast as a square. */
export interface PolygonEdges {
  /** Boxes around the edges. Declares only the method used, so that the package's types need no library. */
  readonly index: {
    search(
      west: number,
      south: number,
      east: number,
      north: number,
      fits?: (edge: number) => boolean,
    ): number[];
  };
  /** Four values per edge: longitude and latitude of both ends, deg. */
  readonly ends: Float64Array;
}

/** @param polygon Closed rings. */
export function indexEdges(polygon: Polygon): PolygonEdges {
  const count = polygon.reduce((sum, ring) => sum + ring.length - 1, 0);
  const index = new Flatbush(count);
  const ends = new Float64Array(4 * count);
  let at = 0;
  for (const ring of polygon) {
    for (let corner = 1; corner < ring.length; corner++) {
      const [x1, y1] = ring[corner - 1];
      const [x2, y2] = ring[corner];
      ends.set([x1, y1, x2, y2], at);
      at += 4;
      index.add(Math.min(x1, x2), Math.min(y1, y2), Math.max(x1, x2), Math.max(y1, y2));
    }
  }
  index.finish();
  return { index, ends };
}

/** True for a place inside any of the polygons and outside its holes, by the even-odd rule. */
export const isInside = (polygons: readonly PolygonEdges[], lat: number, lon: number): boolean =>
  polygons.some(({ index, ends }) => {
    let isIn = false;
    index.search(lon, lat, Number.POSITIVE_INFINITY, lat, (edge) => {
      const [y1, y2] = [ends[4 * edge + 1], ends[4 * edge + 3]];
      if (y1 > lat === y2 > lat) return false;
      const x1 = ends[4 * edge];
      if (lon < x1 + ((lat - y1) / (y2 - y1)) * (ends[4 * edge + 2] - x1)) isIn = !isIn;
      return false;
    });
    return isIn;
  });

/** True when any edge of the polygons whose bounding box meets a box passes a test. */
const someEdge = (
  polygons: readonly PolygonEdges[],
  { west, south, east, north }: Box,
  passes: (from: Point, to: Point) => boolean,
): boolean =>
  polygons.some(({ index, ends }) => {
    let isMet = false;
    index.search(west, south, east, north, (edge) => {
      const [x1, y1, x2, y2] = ends.subarray(4 * edge, 4 * edge + 4);
      isMet ||= passes([x1, y1], [x2, y2]);
      return false;
    });
    return isMet;
  });

/** True when the bounding box of any edge of the polygons meets a box, deg. */
export const hasEdgesIn = (polygons: readonly PolygonEdges[], box: Box): boolean =>
  someEdge(polygons, box, () => true);

/** True when the straight line between two places meets an edge of the polygons. */
export function crossesPolygons(
  polygons: readonly PolygonEdges[],
  lat1: number,
  lon1: number,
  lat2: number,
  lon2: number,
): boolean {
  if (Math.abs(lon2 - lon1) > 180) {
    // The short way crosses 180 degrees, so the line is tested once from the side of each end.
    const turn = lon2 > lon1 ? 360 : -360;
    return (
      crossesPolygons(polygons, lat1, lon1, lat2, lon2 - turn) ||
      crossesPolygons(polygons, lat1, lon1 + turn, lat2, lon2)
    );
  }
  const [west, east] = [Math.min(lon1, lon2), Math.max(lon1, lon2)];
  const [south, north] = [Math.min(lat1, lat2), Math.max(lat1, lat2)];
  const box = { west, south, east, north };
  return someEdge(polygons, box, (from, to) => segmentsMeet([lon1, lat1], [lon2, lat2], from, to));
}

type Point = readonly [x: number, y: number];

function segmentsMeet(a: Point, b: Point, c: Point, d: Point): boolean {
  const turn = (p: Point, q: Point, r: Point): number =>
    Math.sign((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]));
  const isBetween = (p: Point, q: Point, r: Point): boolean =>
    [0, 1].every((k) => Math.min(p[k], q[k]) <= r[k] && r[k] <= Math.max(p[k], q[k]));
  const isOn = (p: Point, q: Point, r: Point): boolean => turn(p, q, r) === 0 && isBetween(p, q, r);
  if (turn(a, b, c) !== turn(a, b, d) && turn(c, d, a) !== turn(c, d, b)) return true;
  return isOn(a, b, c) || isOn(a, b, d) || isOn(c, d, a) || isOn(c, d, b);
}
