import type { EnrichedWaypoint } from '../../shared/contract/index.ts';
import type { PlanPlace } from '../../shared/day/index.ts';
import { type LocalFrame, localFrame } from '../../shared/geo/index.ts';
import type { OverviewExtent } from './overview-grid.ts';
import type { ReportInput } from './report-input.ts';
import type { FigurePlace } from './svg.ts';

/** Width of the map, figure units, and the heights it may have over that: a flat lake gets blank ground above and below. */
export const MAP_WIDTH = 720;
const LEAST_HEIGHT = 0.6;
const MOST_HEIGHT = 1.3;

/** m shown beyond the outermost mark or sounding. */
const MARGIN = 120;

/** m off the sounded marks within which a pin that nobody sounded is on the map in any case. */
const NEAR = 1000;
/** The same without soundings at all: m, and times the median distance of the marks from their middle. */
const FAR = 3000;
const FAR_TIMES = 5;

/** Map of the lake in the figure, and what is set aside from it. */
export interface LakeLayout {
  readonly frame: LocalFrame;
  readonly extent: OverviewExtent;
  readonly height: number;
  /** Figure units per m. */
  readonly scale: number;
  toFigure(east: number, north: number): FigurePlace;
  readonly shown: readonly EnrichedWaypoint[];
  /** Marks so far off that they would shrink the others to a dot. */
  readonly far: readonly EnrichedWaypoint[];
  /** Ramp, start and end of the day that are on the map, by name once each. */
  readonly ends: readonly PlanPlace[];
  readonly farEnds: readonly PlanPlace[];
}

interface Box {
  west: number;
  east: number;
  south: number;
  north: number;
}

/**
 * The ground that the map shows: all sounded marks, and pins, places of the plan and soundings that are not far from them.
 *
 * Without any sounded mark the marks about their median are the middle of it.
 */
export function lakeLayout({ waypoints, survey, plan }: ReportInput): LakeLayout {
  const sounded = waypoints.filter(({ fields }) => fields.depth !== undefined);
  const origin = sounded[0]?.waypoint ??
    waypoints[0]?.waypoint ?? { lat: survey.lat[0] ?? 0, lon: survey.lon[0] ?? 0 };
  const frame = localFrame(origin.lat, origin.lon);
  const local = ({ lat, lon }: { lat: number; lon: number }) => frame.toLocal(lat, lon);
  const core = sounded.length > 0 ? sounded : aboutMedian(waypoints, frame);
  const box: Box = { west: 0, east: 0, south: 0, north: 0 };
  if (core.length > 0) [box.west, box.south] = local(core[0].waypoint);
  [box.east, box.north] = [box.west, box.south];
  for (const { waypoint } of core) reach(box, local(waypoint));
  const isNear = nearTo({ ...box });
  const shown = waypoints.filter((spot) => core.includes(spot) || isNear(local(spot.waypoint)));
  for (const { waypoint } of shown) reach(box, local(waypoint));
  const ends = plan === undefined ? [] : distinct([plan.ramp, plan.from, plan.end]);
  const nearEnds = ends.filter((end) => waypoints.length === 0 || isNear(local(end)));
  for (const end of nearEnds) reach(box, local(end));
  const isOnMap = waypoints.length === 0 ? () => true : nearTo({ ...box });
  for (let i = 0; i < survey.count; i += Math.max(1, Math.floor(survey.count / 20_000))) {
    const place = frame.toLocal(survey.lat[i], survey.lon[i]);
    if (Number.isFinite(place[0] + place[1]) && isOnMap(place)) reach(box, place);
  }
  const extent = widened(box);
  const scale = MAP_WIDTH / (extent.east - extent.west);
  return {
    frame,
    extent,
    scale,
    height: (extent.north - extent.south) * scale,
    toFigure: (x, y) => [(x - extent.west) * scale, (extent.north - y) * scale],
    shown,
    far: waypoints.filter((spot) => !shown.includes(spot)),
    ends: nearEnds,
    farEnds: ends.filter((end) => !nearEnds.includes(end)),
  };
}

const distinct = (places: readonly PlanPlace[]): PlanPlace[] => [
  ...new Map(places.map((place) => [`${place.lat} ${place.lon}`, place])).values(),
];

function reach(box: Box, [x, y]: readonly [number, number]): void {
  [box.west, box.east] = [Math.min(box.west, x), Math.max(box.east, x)];
  [box.south, box.north] = [Math.min(box.south, y), Math.max(box.north, y)];
}

/** Whether a place is off a box by no more than the box is wide, and 1 km in any case. */
function nearTo({ west, east, south, north }: Box): (place: readonly [number, number]) => boolean {
  const off = Math.max(NEAR, east - west, north - south);
  return ([x, y]) => x >= west - off && x <= east + off && y >= south - off && y <= north + off;
}

/** Marks that are not far from the median of all: a single pin at home does not move it. */
function aboutMedian(waypoints: readonly EnrichedWaypoint[], frame: LocalFrame): EnrichedWaypoint[] {
  const places = waypoints.map(({ waypoint }) => frame.toLocal(waypoint.lat, waypoint.lon));
  const middle = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1] ?? 0;
  const [x, y] = [middle(places.map(([east]) => east)), middle(places.map(([, north]) => north))];
  const distances = places.map(([east, north]) => Math.hypot(east - x, north - y));
  const most = Math.max(FAR, FAR_TIMES * middle([...distances]));
  return waypoints.filter((_, i) => distances[i] <= most);
}

/** The box with its margin, neither flatter nor taller than the figure may be. */
function widened({ west, east, south, north }: Box): OverviewExtent {
  const [wide, high] = [east - west + 2 * MARGIN, north - south + 2 * MARGIN];
  const width = Math.max(wide, high / MOST_HEIGHT);
  const height = Math.max(high, width * LEAST_HEIGHT);
  const [x, y] = [(west + east) / 2, (south + north) / 2];
  return { west: x - width / 2, east: x + width / 2, south: y - height / 2, north: y + height / 2 };
}
