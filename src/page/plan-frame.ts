import { extent } from 'd3-array';
import type { DisplayUnits, EnrichedWaypoint } from '../../shared/contract/index.ts';
import type { FigurePlace } from './svg.ts';

/** Side of the square map of a plan view, figure units. */
export const MAP_SIZE = 360;

/** Minimum side of the square that a plan view shows, and its margin beyond boats and landings, m. */
const MIN_SIDE = 100;
const MARGIN = 16;

/** A plan view being drawn: a square area around the mark and all casts of a spot, true to scale, north up. */
export interface PlanView {
  readonly fields: EnrichedWaypoint['fields'];
  readonly units: DisplayUnits;
  /** Places that labels must avoid; drawing adds to the list. */
  readonly taken: FigurePlace[];
  /** East and north of the northwest corner relative to the waypoint, m. */
  readonly west: number;
  readonly north: number;
  /** Figure units per meter. */
  readonly scale: number;
  /** m. */
  readonly side: number;
  toFigure(east: number, north: number): FigurePlace;
}

export function planView({ fields }: EnrichedWaypoint, units: DisplayUnits): PlanView {
  const casts = [fields.downslope, fields.upslope, ...(fields.angles ?? [])];
  const places = casts.flatMap((plan) => (plan === undefined ? [] : [plan.boat, plan.landing]));
  const [least, most] = extent([0, ...places.map((place) => place.east)]) as [number, number];
  const [south, top] = extent([0, ...places.map((place) => place.north)]) as [number, number];
  const side = Math.max(MIN_SIDE, most - least + 2 * MARGIN, top - south + 2 * MARGIN);
  const [west, north] = [(least + most) / 2 - side / 2, (south + top) / 2 + side / 2];
  const scale = MAP_SIZE / side;
  return {
    ...{ fields, units, taken: [], west, north, scale, side },
    toFigure: (east, placeNorth) => [(east - west) * scale, (north - placeNorth) * scale],
  };
}

export const isInMap = ([x, y]: FigurePlace, inset = 0): boolean =>
  x >= inset && y >= inset && x <= MAP_SIZE - inset && y <= MAP_SIZE - inset;
