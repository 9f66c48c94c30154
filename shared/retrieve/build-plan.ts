import type { CastKind, CastPlan, Spot } from '../contract/index.ts';
import type { LocalFrame } from '../geo/index.ts';
import { type CastLine, placeOn } from './cast-lines.ts';
import type { CastPlanner } from './cast-planner.ts';
import type { Choice } from './choose-cast.ts';
import { deepestFish } from './fish.ts';
import { ALL_PERTURBATIONS, judgeCast, layBottom } from './judge.ts';
import { depthShare } from './lures.ts';
import { depthsAt, type RetrievePath } from './path.ts';
import { simulateRetrieve } from './retrieve.ts';
import { REACH_ALLOWANCE } from './tackle.ts';
import { depthsNearBottom, NEAR_BOTTOM } from './touch.ts';
import { windOnCast } from './wind.ts';

/** Maximum step of the retrieve that is shown, m of line. */
const SHOWN_STEP = 0.5;

export function buildPlan({ space, frame, wind }: CastPlanner, chosen: Choice, kind: CastKind): CastPlan {
  const { tackle, fish } = space;
  const { path, work, bottom } = tackle.scratch;
  const { line, boat, cast } = chosen;
  const lure = tackle.lures[chosen.lure];
  const isSuspended = fish.suspended !== undefined;
  const lureDepth = tackle.reach(chosen.lure, cast);
  const upwind = windOnCast(wind, line.bearing);
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
    lureDepth,
    lureDepthSd: depthShare(lure) * lureDepth,
    contact: chosen.contact,
    fishContact: isSuspended ? 0 : chosen.among,
    fishContactSd: isSuspended ? 0 : chosen.amongSd,
    worth: chosen.among,
    ...(isSuspended ? { isSuspended: true } : {}),
    ...(chosen.equalBearing === undefined ? {} : { equalBearing: chosen.equalBearing }),
    ...(chosen.isKept ? { isKept: true } : {}),
    contactDepths: depthsNearBottom(path, bottom, { top: NEAR_BOTTOM, bottom: Number.POSITIVE_INFINITY }),
    profile: profileOf(line, boat, cast, bottom.depth, path),
    ...(lureDepth < deepestFish(fish) - REACH_ALLOWANCE ? { isLureShort: true } : {}),
    ...(upwind === undefined ? {} : { wind: upwind }),
  };
}

/** Finds the next deeper lure on the same cast; empty if there is none or the fish are suspended. */
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

/** Samples bottom and lure at whole meters from the boat and at the landing. */
function profileOf(
  line: CastLine,
  boat: number,
  cast: number,
  bottom: Float64Array,
  path: RetrievePath,
): CastPlan['profile'] {
  const distance = Float64Array.from({ length: Math.ceil(cast) + 1 }, (_, i) => Math.min(i, cast));
  const depths = depthsAt(path, distance);
  const nearest = path.count - 1;
  return {
    distance,
    bottom: distance.map((at) => interpolated(bottom, at)),
    bottomSd: distance.map((at) => interpolated(line.sd, boat + at)),
    lure: distance.map((at, i) => {
      // From the end of the path, the lure is shown on a straight line to the surface at the boat.
      if (at <= path.distance[nearest]) return (path.depth[nearest] * at) / path.distance[nearest];
      return Number.isNaN(depths[i]) ? 0 : depths[i];
    }),
  };
}

function spotOn(line: CastLine, at: number, frame: LocalFrame): Spot {
  const [east, north] = placeOn(line, at);
  const [lat, lon] = frame.toGeographic(east, north);
  return { lat, lon, east, north, depth: interpolated(line.depth, at), depthSd: interpolated(line.sd, at) };
}

function interpolated(values: Float64Array, at: number): number {
  const i = Math.min(Math.floor(at), values.length - 2);
  const share = at - i;
  return share === 0 ? values[i] : (1 - share) * values[i] + share * values[i + 1];
}
