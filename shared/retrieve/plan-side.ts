import type { BottomModel, DepthGrid } from '../bottom/model.ts';
import type { CsvFile, DepthRange, JsonFile } from '../contract/options.ts';
import type { Waypoint } from '../contract/waypoint.ts';
import { type LocalFrame, localFrame } from '../geo/local-frame.ts';
import type { Zone } from '../geo/zones.ts';
import { openWater, zonesNear } from './boat-zones.ts';
import { buildPlan, deeperLure } from './build-plan.ts';
import type { CastKind, CastPlan } from './cast-plan.ts';
import type { CastRule } from './cast-rules.ts';
import { chooseCast, type JudgedCast } from './choose-cast.ts';
import { type Hazard, hazardsNear } from './hazards.ts';
import { findCandidates, type SearchSpace, searchSpace } from './search.ts';
import { type NoCast, whyNoCast } from './side.ts';
import { scratch, tackleOf } from './tackle.ts';
import { bearingPreference, parseWind, type Wind, windFactor } from './wind.ts';

/** Waves by which draws of the bottom differ from the model, in ranges of its errors, and their least length, m. */
const WAVE_RANGES = 4;
const SHORTEST_WAVE = 30;

/** Hazards are looked for within this many casts of the mark. */
const HAZARD_REACH = 1.5;

/** Zones count within this many casts of the mark: wind may lengthen casts. */
const ZONE_REACH = 2.5;

/** Slopes gentler than this have no fall line to prefer, m/m: 1 deg. */
const FLAT = Math.tan(Math.PI / 180);

/** Options that all cast planning shares, as the plugins get them. */
export interface CastOptions {
  readonly line: string;
  readonly cast: number;
  readonly draft: number;
  readonly lures?: CsvFile;
  readonly wind?: string;
  readonly current?: number;
  readonly hazards: readonly string[];
  readonly zones?: JsonFile;
}

/** Everything to plan the casts of one mark with. */
export interface CastPlanner {
  readonly space: SearchSpace;
  readonly frame: LocalFrame;
  readonly wave: number;
  readonly wind?: Wind;
  /** Direction of steepest descent at the mark, deg; absent on flat ground. */
  readonly aspect?: number;
  readonly byBearing?: (bearing: number) => number;
  readonly hazards: readonly Hazard[];
  /** Zones near enough for a boat or a cast. */
  readonly zones: readonly Zone[];
}

/**
 * Prepares the planning of one mark's casts.
 *
 * @param grid The bottom's, which must be there. @param waypoints All of the run, for the hazards among them.
 */
export function castPlanner(
  bottom: BottomModel,
  grid: DepthGrid,
  band: DepthRange,
  options: CastOptions,
  waypoints: readonly Waypoint[],
): CastPlanner {
  const room = scratch();
  const tackle = tackleOf(options, room);
  const wind = options.wind === undefined ? undefined : parseWind(options.wind);
  const longest = (bearing: number): number => options.cast * windFactor(wind, bearing);
  const frame = localFrame(bottom.lat, bottom.lon);
  const zones = zonesNear(options.zones, frame, ZONE_REACH * options.cast);
  const space = searchSpace(grid, band, tackle, room, longest);
  const isOpen = openWater(zones, frame);
  return {
    space: isOpen === undefined ? space : { ...space, isOpen },
    frame,
    wave: Math.max(WAVE_RANGES * grid.range, SHORTEST_WAVE),
    wind,
    aspect: bottom.aspect ?? aspectOf(bottom.gradient),
    byBearing: bearingPreference(wind, options.current),
    hazards: hazardsNear(waypoints, options.hazards, frame, HAZARD_REACH * options.cast),
    zones,
  };
}

function aspectOf(gradient: BottomModel['gradient']): number | undefined {
  if (gradient === undefined || Math.hypot(...gradient) < FLAT) return undefined;
  return ((Math.atan2(gradient[0], gradient[1]) * 180) / Math.PI + 360) % 360;
}

/** The best cast of a rule, or why there is none. @param fallLine Bearing preferred in a tie, deg. */
export function planCast(
  planner: CastPlanner,
  rule: CastRule,
  kind: CastKind,
  fallLine: number | undefined,
): CastPlan | NoCast {
  const { space, wave, byBearing, hazards } = planner;
  const chosen = chooseCast(space, rule, wave, { fallLine, byBearing, hazards });
  if (chosen === undefined) {
    const isAllClosed =
      space.isOpen !== undefined &&
      findCandidates(space, rule).length === 0 &&
      findCandidates({ ...space, isOpen: undefined }, rule).length > 0;
    if (isAllClosed) return { ...whyNoCast(space, rule), missing: 'zone' };
    const why = whyNoCast(space, rule);
    const isUnsure = why.missing === 'line' && findCandidates(space, { ...rule, draft: 0 }).length > 0;
    return isUnsure ? { ...why, missing: 'draft' } : why;
  }
  return { ...planOf(planner, chosen, kind), ...deeperLure(space, chosen, wave) };
}

/** A chosen cast with all that is shown of it. */
export const planOf = ({ space, frame, wind }: CastPlanner, chosen: JudgedCast, kind: CastKind): CastPlan =>
  buildPlan(space, chosen, kind, frame, wind);
