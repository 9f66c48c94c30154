import { pick } from 'es-toolkit/object';
import { isEqual } from 'es-toolkit/predicate';
import type { BottomModel, DepthGrid, DepthRange, Waypoint } from '../contract/index.ts';
import { bearingOf, localFrame } from '../geo/index.ts';
import { openWater, zonesNear } from './boat-zones.ts';
import { CAST_OPTIONS, type CastOptions } from './common-options.ts';
import { fishAt } from './fish.ts';
import { hazardsNear } from './hazards.ts';
import { drawsAlong, type Verdict } from './judge.ts';
import { uphillOf } from './neighborhood.ts';
import { searchSpace } from './search.ts';
import { type Tackle, tackleOf } from './tackle.ts';
import { bearingPreference, parseWind, windFactor } from './wind.ts';

/** Length of the longer wave in draws of the bottom, as a multiple of `DepthGrid.range`. */
const WAVE_RANGES = 4;
/** Minimum length of the longer wave in draws of the bottom, m. */
const SHORTEST_WAVE = 30;

/** Distance from the mark within which hazards count, as a multiple of the longest cast in still air. */
const HAZARD_REACH = 1.5;

/** Distance from the mark within which zones count, as a multiple of the longest cast in still air. */
const ZONE_REACH = 2.5;

/** Minimum slope of ground that has a fall line, m/m: 1 deg. */
const FLAT = Math.tan(Math.PI / 180);

export type CastPlanner = ReturnType<typeof preparePlanner>;

export interface MarkedFish {
  /** Depths of the fish, m; around the mark's depth unless `isStated`. */
  readonly band: DepthRange;
  readonly isStated: boolean;
}

/**
 * Returns the planner of one mark's casts: the last planner of the grid if fish, options and waypoints are
 * equal, else a new one.
 *
 * @param grid The grid of `bottom`.
 * @param waypoints All waypoints of the run, to find the hazards among them.
 */
export function castPlanner(
  bottom: BottomModel,
  grid: DepthGrid,
  marked: MarkedFish,
  options: CastOptions,
  waypoints: readonly Waypoint[],
): CastPlanner {
  const inputs = [marked, pick(options, OPTION_NAMES), waypoints];
  const known = PLANNERS.get(grid);
  if (known !== undefined && isEqual(known.inputs, inputs)) return known.planner;
  const planner = preparePlanner(bottom, grid, marked, options, waypoints);
  PLANNERS.set(grid, { inputs, planner });
  return planner;
}

const OPTION_NAMES = Object.keys(CAST_OPTIONS) as (keyof CastOptions)[];

/** Planners by the mark's grid, with their inputs. The plugins for casts and next angles share a planner. */
const PLANNERS = new WeakMap<DepthGrid, { readonly inputs: unknown; readonly planner: CastPlanner }>();

/** Tackle by its options, so that dive tables are not made anew for each mark. */
const TACKLE = new WeakMap<CastOptions, Tackle>();

function preparePlanner(
  bottom: BottomModel,
  grid: DepthGrid,
  { band, isStated }: MarkedFish,
  options: CastOptions,
  waypoints: readonly Waypoint[],
) {
  const { cast, draft, current } = options;
  const wind = options.wind === undefined ? undefined : parseWind(options.wind);
  const longest = (bearing: number): number => cast * windFactor(wind, bearing);
  const frame = localFrame(bottom.lat, bottom.lon);
  const zones = zonesNear(options.zones, frame, ZONE_REACH * cast);
  const fish = fishAt(grid, band, isStated, bottom.depth, cast);
  const hazards = hazardsNear(waypoints, options.hazards, frame, HAZARD_REACH * cast);
  const uphill = uphillOf(grid, cast);
  const tackle = TACKLE.get(options) ?? tackleOf(options);
  TACKLE.set(options, tackle);
  const space = searchSpace(grid, fish, tackle, longest, openWater(zones, frame));
  const draws = drawsAlong(Math.max(WAVE_RANGES * grid.range, SHORTEST_WAVE), space.half);
  const preferences = { toward: uphill, byBearing: bearingPreference(wind, current), hazards };
  /** Direction of steepest descent at the mark, deg; absent on flat ground or if unknown. */
  const aspect = bottom.aspect ?? aspectOf(bottom.gradient);
  return {
    space,
    frame,
    draft,
    draws,
    wind,
    aspect,
    uphill,
    verdicts: new Map<string, Verdict>(),
    preferences,
    hazards,
    zones,
  };
}

function aspectOf(gradient: BottomModel['gradient']): number | undefined {
  if (gradient === undefined || Math.hypot(...gradient) < FLAT) return undefined;
  return bearingOf(...gradient);
}
