import type { EnrichedWaypoint } from '../../shared/contract/index.ts';
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

/** Square around the mark, and the boats and landings of all casts of a spot. */
export function planFrame({ fields }: EnrichedWaypoint): PlanFrame {
  const casts = [fields.downslope, fields.upslope, ...(fields.angles ?? [])];
  const places = casts.flatMap((plan) => (plan === undefined ? [] : [plan.boat, plan.landing]));
  const easts = [0, ...places.map((place) => place.east)];
  const norths = [0, ...places.map((place) => place.north)];
  const [least, most] = [Math.min(...easts), Math.max(...easts)];
  const [south, top] = [Math.min(...norths), Math.max(...norths)];
  const side = Math.max(MIN_SIDE, most - least + 2 * MARGIN, top - south + 2 * MARGIN);
  const [west, north] = [(least + most) / 2 - side / 2, (south + top) / 2 + side / 2];
  const scale = MAP_SIZE / side;
  return {
    west,
    north,
    scale,
    side,
    toFigure: (east, placeNorth) => [(east - west) * scale, (north - placeNorth) * scale],
  };
}

export const isInMap = ([x, y]: FigurePlace, inset = 0): boolean =>
  x >= inset && y >= inset && x <= MAP_SIZE - inset && y <= MAP_SIZE - inset;
