import type { CastPlan, EnrichedWaypoint } from '../../shared/contract/index.ts';
import type { FigurePlace } from './svg.ts';

/** Side of the square map of a plan view, figure units. */
export const MAP_SIZE = 360;

/** Minimum side of the square that a plan view shows, and its margin beyond boats and landings, m. */
const MIN_SIDE = 100;
const MARGIN = 16;

/** The square area that a plan view shows, true to scale, north up. */
export interface PlanFrame {
  /** East and north of the northwest corner relative to the waypoint, m. */
  readonly west: number;
  readonly north: number;
  /** Figure units per meter. */
  readonly scale: number;
  /** m. */
  readonly side: number;
  toFigure(east: number, north: number): FigurePlace;
}

/** Square around the mark, boats and landings of a spot. */
export function planFrame(spot: EnrichedWaypoint): PlanFrame {
  const places = castsOf(spot).flatMap((plan) => [plan.boat, plan.landing]);
  const easts = [0, ...places.map((place) => place.east)];
  const norths = [0, ...places.map((place) => place.north)];
  const [west, east] = [Math.min(...easts), Math.max(...easts)];
  const [south, north] = [Math.min(...norths), Math.max(...norths)];
  const side = Math.max(MIN_SIDE, east - west + 2 * MARGIN, north - south + 2 * MARGIN);
  return frameAt((west + east) / 2 - side / 2, (south + north) / 2 + side / 2, side);
}

function frameAt(west: number, north: number, side: number): PlanFrame {
  const scale = MAP_SIZE / side;
  return {
    west,
    north,
    scale,
    side,
    toFigure: (placeEast, placeNorth) => [(placeEast - west) * scale, (north - placeNorth) * scale],
  };
}

/** All casts of a spot, which must fit in the view. */
function castsOf({ fields }: EnrichedWaypoint): CastPlan[] {
  const { downslope, upslope, angles = [] } = fields;
  return [downslope, upslope, ...angles].filter((plan): plan is CastPlan => plan !== undefined);
}

export const isInMap = ([x, y]: FigurePlace, inset = 0): boolean =>
  x >= inset && y >= inset && x <= MAP_SIZE - inset && y <= MAP_SIZE - inset;
