import { extent as extentOf, median, range } from 'd3-array';
import { partition, uniqBy } from 'es-toolkit';
import type { EnrichedWaypoint } from '../../shared/contract/index.ts';
import { type Box, type LocalFrame, localFrame } from '../../shared/geo/index.ts';
import type { ReportInput } from './report-input.ts';
import type { FigurePlace } from './svg.ts';

/** Width of the map, figure units. */
export const MAP_WIDTH = 720;
/** Minimum height of the map relative to its width; a wide lake gets blank space above and below. */
const MIN_HEIGHT = 0.6;
/** Maximum height of the map relative to its width. */
const MAX_HEIGHT = 1.3;

/** Margin beyond the outermost places on the map, m. */
const MARGIN = 120;

/** Minimum widening of a box of marks on each side, m; other places in the widened box are on the map. */
const NEAR = 1000;
/**
 * Maximum distance, m, from the median position of all marks. Without sounded marks, the map is laid out
 * around the marks within this distance.
 */
const FAR = 3000;
/** Multiple of the marks' median distance from their median position that replaces `FAR` if greater. */
const FAR_TIMES = 5;

export type LakeLayout = ReturnType<typeof lakeLayout>;

type Place = readonly [east: number, north: number];

/**
 * Chooses the area of the map: all sounded marks, and near them other marks, soundings, and the ramp, start
 * and end of the day. Without sounded marks, the marks around the median position take their place. Without
 * any marks, the map shows all soundings.
 *
 * @returns The area `extent`, m from the origin of `frame`; `scale`, figure units per m; `height`, figure
 * units; `toFigure` and `at`, which convert meters and degrees to figure places; the marks `shown`, and the
 * marks too `far` away; and ramp, start and end of the day, as `ends` on the map and `farEnds` off the map.
 */
export function lakeLayout({ waypoints, survey, plan }: ReportInput) {
  const sounded = waypoints.filter(({ fields }) => fields.depth !== undefined);
  const first = { lat: survey.lat[0] ?? 0, lon: survey.lon[0] ?? 0 };
  const origin = (sounded[0] ?? waypoints[0])?.waypoint ?? first;
  const frame = localFrame(origin.lat, origin.lon);
  const local = ({ lat, lon }: { lat: number; lon: number }) => frame.toLocal(lat, lon);
  const core = sounded.length > 0 ? sounded : aboutMedian(waypoints, frame);
  const isNear = nearTo(boxAround(core.map(({ waypoint }) => local(waypoint))));
  const shown = waypoints.filter((spot) => core.includes(spot) || isNear(local(spot.waypoint)));
  const allEnds = plan === undefined ? [] : [plan.ramp, plan.from, plan.end];
  const [ends, farEnds] = partition(
    uniqBy(allEnds, ({ lat, lon }) => `${lat} ${lon}`),
    (end) => waypoints.length === 0 || isNear(local(end)),
  );
  const marks = [...shown.map(({ waypoint }) => waypoint), ...ends].map(local);
  const isOnMap = waypoints.length === 0 ? () => true : nearTo(boxAround(marks));
  const soundings = range(0, survey.count, Math.max(1, Math.floor(survey.count / 20_000)))
    .map((i) => frame.toLocal(survey.lat[i], survey.lon[i]))
    .filter((place) => place.every(Number.isFinite) && isOnMap(place));
  const extent = widened(boxAround([...marks, ...soundings]));
  const scale = MAP_WIDTH / (extent.east - extent.west);
  const toFigure = (x: number, y: number): FigurePlace => [
    (x - extent.west) * scale,
    (extent.north - y) * scale,
  ];
  const at = (lat: number, lon: number): FigurePlace => toFigure(...frame.toLocal(lat, lon));
  const height = (extent.north - extent.south) * scale;
  const far = waypoints.filter((spot) => !shown.includes(spot));
  return { frame, extent, scale, height, toFigure, at, shown, far, ends, farEnds };
}

/** Returns the box around some places; without places, an empty box at the origin. */
function boxAround(places: readonly Place[]): Box {
  const [west = 0, east = 0] = extentOf(places, ([x]) => x);
  const [south = 0, north = 0] = extentOf(places, ([, y]) => y);
  return { west, east, south, north };
}

/**
 * Returns a function that tells whether a place is in a box that is widened on all sides by the greater of
 * its longer side and `NEAR`.
 */
function nearTo({ west, east, south, north }: Box): (place: Place) => boolean {
  const off = Math.max(NEAR, east - west, north - south);
  return ([x, y]) => x >= west - off && x <= east + off && y >= south - off && y <= north + off;
}

/** Returns the marks near the median position, which a single mark far away hardly moves. */
function aboutMedian(waypoints: readonly EnrichedWaypoint[], frame: LocalFrame): EnrichedWaypoint[] {
  const places = waypoints.map(({ waypoint }) => frame.toLocal(waypoint.lat, waypoint.lon));
  const [x = 0, y = 0] = [median(places, ([east]) => east), median(places, ([, north]) => north)];
  const distances = places.map(([east, north]) => Math.hypot(east - x, north - y));
  const most = Math.max(FAR, FAR_TIMES * (median(distances) ?? 0));
  return waypoints.filter((_, i) => distances[i] <= most);
}

/** Adds the margin to a box, and widens the box to keep the figure's proportions within limits. */
function widened({ west, east, south, north }: Box): Box {
  const [wide, high] = [east - west + 2 * MARGIN, north - south + 2 * MARGIN];
  const width = Math.max(wide, high / MAX_HEIGHT);
  const height = Math.max(high, width * MIN_HEIGHT);
  const [x, y] = [(west + east) / 2, (south + north) / 2];
  return { west: x - width / 2, east: x + width / 2, south: y - height / 2, north: y + height / 2 };
}
