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
import { fishAt } from './fish.ts';
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

/** Contact with the fish under which a cast by a lesser rule is looked for as well, m. */
const LITTLE = 3;

/** Slopes gentler than this have no fall line, m/m: 1 deg. */
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
  /** Where the neighborhood rises to, east and north, of length 1 where it does clearly. */
  readonly uphill: readonly [east: number, north: number];
  readonly byBearing?: (bearing: number) => number;
  readonly hazards: readonly Hazard[];
  /** Zones near enough for a boat or a cast. */
  readonly zones: readonly Zone[];
}

/**
 * Prepares the planning of one mark's casts.
 *
 * @param grid The bottom's, which must be there. @param band Depths of the fish; about the mark's when not `isStated`.
 * @param waypoints All of the run, for the hazards among them.
 */
export function castPlanner(
  bottom: BottomModel,
  grid: DepthGrid,
  band: DepthRange,
  isStated: boolean,
  options: CastOptions,
  waypoints: readonly Waypoint[],
): CastPlanner {
  const room = scratch();
  const tackle = tackleOf(options, room);
  const wind = options.wind === undefined ? undefined : parseWind(options.wind);
  const longest = (bearing: number): number => options.cast * windFactor(wind, bearing);
  const frame = localFrame(bottom.lat, bottom.lon);
  const zones = zonesNear(options.zones, frame, ZONE_REACH * options.cast);
  const fish = fishAt(grid, band, isStated, bottom.depth, options.cast);
  const space = searchSpace(grid, fish, tackle, room, longest);
  const isOpen = openWater(zones, frame);
  return {
    space: isOpen === undefined ? space : { ...space, isOpen },
    frame,
    wave: Math.max(WAVE_RANGES * grid.range, SHORTEST_WAVE),
    wind,
    aspect: bottom.aspect ?? aspectOf(bottom.gradient),
    uphill: uphillOf(grid, options.cast),
    byBearing: bearingPreference(wind, options.current),
    hazards: hazardsNear(waypoints, options.hazards, frame, HAZARD_REACH * options.cast),
    zones,
  };
}

function aspectOf(gradient: BottomModel['gradient']): number | undefined {
  if (gradient === undefined || Math.hypot(...gradient) < FLAT) return undefined;
  return ((Math.atan2(gradient[0], gradient[1]) * 180) / Math.PI + 360) % 360;
}

/** Fall of a neighborhood at which its deep side is half as sure as it can be, m/m. */
const UNSURE_FALL = 0.01;
/** Where it has none, casts go this way, so that they go the same way with every new pass. */
const ANY_WAY: readonly [east: number, north: number] = [0, 0.25];

/** Where the ground within a radius rises to as a whole, by a plane through it. */
function uphillOf(
  { size, cellSize, depth, supported }: DepthGrid,
  radius: number,
): readonly [east: number, north: number] {
  const half = (size - 1) / 2;
  const sum = new Float64Array(9);
  for (let node = 0; node < depth.length; node++) {
    if (supported[node] === 0) continue;
    const x = ((node % size) - half) * cellSize;
    const y = (Math.floor(node / size) - half) * cellSize;
    const z = depth[node];
    if (x * x + y * y > radius * radius) continue;
    sum[0] += 1;
    sum[1] += x;
    sum[2] += y;
    sum[3] += z;
    sum[4] += x * x;
    sum[5] += x * y;
    sum[6] += y * y;
    sum[7] += x * z;
    sum[8] += y * z;
  }
  const [count, x, y, z, xx, xy, yy, xz, yz] = sum;
  const [a, b, c] = [xx - (x * x) / count, xy - (x * y) / count, yy - (y * y) / count];
  const [d, e] = [xz - (x * z) / count, yz - (y * z) / count];
  const determinant = a * c - b * b;
  if (!(determinant > 0)) return ANY_WAY;
  const east = (d * c - e * b) / determinant;
  const north = (e * a - d * b) / determinant;
  const fall = Math.hypot(east, north) + UNSURE_FALL;
  const unsure = UNSURE_FALL / fall;
  return [unsure * ANY_WAY[0] - east / fall, unsure * ANY_WAY[1] - north / fall];
}

/**
 * The best cast of the first of some rules that has one, or why none has.
 *
 * A later rule is looked at as well where the cast of an earlier one hardly touches among the fish.
 */
export function planCast(
  planner: CastPlanner,
  rules: readonly CastRule[],
  kind: CastKind,
): CastPlan | NoCast {
  const { space, wave, byBearing, hazards, uphill } = planner;
  const toward = kind === 'upslope' ? ([-uphill[0], -uphill[1]] as const) : uphill;
  let chosen: JudgedCast | undefined;
  for (const rule of rules) {
    const one = chooseCast(space, rule, wave, { toward, byBearing, hazards });
    if (one !== undefined && (chosen === undefined || one.fishContact > LITTLE)) chosen = one;
    if (chosen !== undefined && chosen.fishContact > LITTLE) break;
  }
  if (chosen === undefined) return whyNone(planner, rules[rules.length - 1]);
  return { ...planOf(planner, chosen, kind), ...deeperLure(space, chosen, wave) };
}

function whyNone({ space }: CastPlanner, rule: CastRule): NoCast {
  const isAllClosed =
    space.isOpen !== undefined &&
    findCandidates(space, rule).length === 0 &&
    findCandidates({ ...space, isOpen: undefined }, rule).length > 0;
  const why = whyNoCast(space, rule);
  if (isAllClosed) return { ...why, missing: 'zone' };
  const isUnsure = why.missing === 'line' && findCandidates(space, { ...rule, draft: 0 }).length > 0;
  return isUnsure ? { ...why, missing: 'draft' } : why;
}

/** A chosen cast with all that is shown of it. */
export const planOf = ({ space, frame, wind }: CastPlanner, chosen: JudgedCast, kind: CastKind): CastPlan =>
  buildPlan(space, chosen, kind, frame, wind);
