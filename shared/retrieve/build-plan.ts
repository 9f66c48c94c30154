import type { CastKind, CastPlan, Spot } from '../contract/index.ts';
import type { LocalFrame } from '../geo/index.ts';
import { type CastLine, placeOn } from './cast-lines.ts';
import type { CastPlanner } from './cast-planner.ts';
import type { Choice } from './choose-cast.ts';
import { deepestFish } from './fish.ts';
import { ALL_PERTURBATIONS, judgeCast, layBottom } from './judge.ts';
import { depthShare } from './lures.ts';
import type { RetrievePath } from './path.ts';
import { simulateRetrieve } from './retrieve.ts';
import { REACH_ALLOWANCE } from './tackle.ts';
import { clearanceAt, NEAR_BOTTOM } from './touch.ts';
import { windOnCast } from './wind.ts';

/** Longest step of the retrieve that is shown, m of line. */
const SHOWN_STEP = 0.5;

/** The complete plan of a chosen cast, with everything that is shown of it. */
export function buildPlan({ space, frame, wind }: CastPlanner, chosen: Choice, kind: CastKind): CastPlan {
  const { tackle, fish } = space;
  const { path, work, bottom } = tackle.scratch;
  const { line, boat, cast } = chosen;
  const lure = tackle.lures[chosen.lure];
  const isSuspended = fish.suspended !== undefined;
  layBottom(bottom.depth, line, boat);
  const setup = { cast, line: tackle.line, lure: lure.drag, handling: tackle.handling };
  simulateRetrieve(setup, bottom, SHOWN_STEP, path, work);
  return {
    kind,
    boat: spotOn(line, boat, frame),
    landing: spotOn(line, boat + cast, frame),
    bearing: line.bearing,
    cast,
    lure: lure.name,
    lureDepth: tackle.reach(chosen.lure, cast),
    lureDepthSd: depthShare(lure) * tackle.reach(chosen.lure, cast),
    contact: chosen.contact,
    fishContact: isSuspended ? 0 : chosen.among,
    fishContactSd: isSuspended ? 0 : chosen.amongSd,
    worth: chosen.among,
    ...(isSuspended ? { isSuspended: true } : {}),
    ...(chosen.equalBearing === undefined ? {} : { equalBearing: chosen.equalBearing }),
    ...(chosen.isKept ? { isKept: true } : {}),
    contactDepths: depthsOnBottom(path, bottom),
    profile: profileOf(line, boat, cast, bottom.depth, path),
    ...(tackle.reach(chosen.lure, cast) < deepestFish(fish) - REACH_ALLOWANCE ? { isLureShort: true } : {}),
    ...(windOnCast(wind, line.bearing) === undefined ? {} : { wind: windOnCast(wind, line.bearing) }),
  };
}

/** The next lure in the box that reaches deeper on the same cast, with its depth and contact. */
export function deeperLure(
  { space: { tackle, fish }, draws }: CastPlanner,
  { line, boat, cast, lure: usual }: Choice,
): Pick<CastPlan, 'deeper'> {
  if (fish.suspended !== undefined) return {};
  for (const [index, { name }] of tackle.lures.entries()) {
    const lureDepth = tackle.reach(index, cast);
    if (index <= usual || lureDepth <= tackle.reach(usual, cast)) continue;
    const deeper = { line, boat, cast, lure: index };
    const { contact, among } = judgeCast(deeper, fish, tackle, draws, ALL_PERTURBATIONS);
    return { deeper: { lure: name, lureDepth, contact, fishContact: among } };
  }
  return {};
}

/** Least and greatest depth at which a retrieve is on bottom or nearly so, m. */
function depthsOnBottom(
  path: RetrievePath,
  bottom: { readonly spacing: number; readonly depth: Float64Array },
): readonly [number, number] | undefined {
  let least = Number.POSITIVE_INFINITY;
  let greatest = 0;
  for (let i = 1; i < path.count; i++) {
    if (path.touching[i] === 0 && clearanceAt(path, bottom, i) > NEAR_BOTTOM) continue;
    if (path.depth[i] < NEAR_BOTTOM) continue;
    least = Math.min(least, path.depth[i]);
    greatest = Math.max(greatest, path.depth[i]);
  }
  return greatest === 0 ? undefined : [least, greatest];
}

/** Bottom and lure at whole meters from the boat, and at the landing. */
function profileOf(
  line: CastLine,
  boat: number,
  cast: number,
  bottom: Float64Array,
  path: RetrievePath,
): CastPlan['profile'] {
  const whole = Math.ceil(cast);
  const distance = Float64Array.from({ length: whole + 1 }, (_, i) => Math.min(i, cast));
  const between = (values: ArrayLike<number>, from: number): Float64Array =>
    distance.map((at) => {
      const i = Math.min(Math.floor(at), values.length - from - 2);
      const share = at - i;
      return (1 - share) * values[from + i] + share * values[from + i + 1];
    });
  return {
    distance,
    bottom: between(bottom, 0),
    bottomSd: between(line.sd, boat),
    lure: lureAt(path, distance),
  };
}

/** Depth of the lure at ascending distances, m; nearer the boat than the model goes, on a straight line to the rod tip. */
function lureAt(path: RetrievePath, distance: Float64Array): Float64Array {
  const depth = new Float64Array(distance.length);
  let i = path.count - 1;
  for (let k = 0; k < distance.length; k++) {
    while (i > 0 && path.distance[i - 1] < distance[k]) i--;
    const near = path.distance[i];
    if (distance[k] <= near) depth[k] = (path.depth[i] * distance[k]) / near;
    else if (i === 0) depth[k] = 0;
    else {
      const share = (distance[k] - near) / (path.distance[i - 1] - near);
      depth[k] = path.depth[i] + share * (path.depth[i - 1] - path.depth[i]);
    }
  }
  return depth;
}

/** Place on a line with its modeled depth. @param at Index in the line's arrays; may be fractional. */
function spotOn(line: CastLine, at: number, frame: LocalFrame): Spot {
  const i = Math.min(Math.floor(at), line.depth.length - 2);
  const share = at - i;
  const between = (values: Float64Array): number =>
    share === 0 ? values[i] : (1 - share) * values[i] + share * values[i + 1];
  const [east, north] = placeOn(line, at);
  const [lat, lon] = frame.toGeographic(east, north);
  return { lat, lon, east, north, depth: between(line.depth), depthSd: between(line.sd) };
}
