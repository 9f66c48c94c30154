import { extent } from 'd3-array';
import type { DisplayUnits, EnrichedWaypoint } from '../../shared/contract/index.ts';
import type { FigurePlace } from './svg.ts';

/** Side of the square map of a plan view, figure units. */
export const MAP_SIZE = 360;

/** Minimum side of the square that a plan view shows, m. */
const MIN_SIDE = 100;
/** Margin of a plan view beyond boats and landings, m. */
const MARGIN = 16;

export type PlanView = ReturnType<typeof planView>;

/**
 * Lays out a plan view: a square area around the mark and all casts of a spot, true to scale, north up.
 *
 * @returns The spot's `fields`; `taken`, the places that labels must avoid, empty at first; `west` and
 * `north`, the northwest corner in m from the waypoint; `scale`, figure units per m; `side`, m; and
 * `toFigure`, which converts m from the waypoint to a figure place.
 */
export function planView({ fields }: EnrichedWaypoint, units: DisplayUnits) {
  const casts = [fields.downslope, fields.upslope, ...(fields.angles ?? [])];
  const places = casts.flatMap((plan) => (plan === undefined ? [] : [plan.boat, plan.landing]));
  const [least, most] = extent([0, ...places.map((place) => place.east)]) as [number, number];
  const [south, top] = extent([0, ...places.map((place) => place.north)]) as [number, number];
  const side = Math.max(MIN_SIDE, most - least + 2 * MARGIN, top - south + 2 * MARGIN);
  const [west, north] = [(least + most) / 2 - side / 2, (south + top) / 2 + side / 2];
  const scale = MAP_SIZE / side;
  const toFigure = (east: number, placeNorth: number): FigurePlace => [
    (east - west) * scale,
    (north - placeNorth) * scale,
  ];
  return { fields, units, taken: [] as FigurePlace[], west, north, scale, side, toFigure };
}

export const isInMap = ([x, y]: FigurePlace, inset = 0): boolean =>
  x >= inset && y >= inset && x <= MAP_SIZE - inset && y <= MAP_SIZE - inset;
