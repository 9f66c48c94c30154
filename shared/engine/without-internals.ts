import type { CastPlan, EnrichedWaypoint } from '../contract/index.ts';

/**
 * A waypoint without its large internal fields, the grid and the paths under the casts, which only pictures need.
 *
 * Keeps memory per waypoint small. Both sides and the next angles stay as plans.
 */
export function withoutInternals(enriched: EnrichedWaypoint): EnrichedWaypoint {
  const { bottom: _bottom, downslope, upslope, angles, ...fields } = enriched.fields;
  return {
    ...enriched,
    fields: {
      ...fields,
      ...(downslope === undefined ? {} : { downslope: withoutProfile(downslope) }),
      ...(upslope === undefined ? {} : { upslope: withoutProfile(upslope) }),
      ...(angles === undefined ? {} : { angles: angles.map(withoutProfile) }),
    } as EnrichedWaypoint['fields'],
  };
}

const EMPTY = new Float64Array(0);

function withoutProfile(plan: CastPlan): CastPlan {
  return {
    ...plan,
    profile: { ...plan.profile, distance: EMPTY, bottom: EMPTY, bottomSd: EMPTY, lure: EMPTY },
  };
}
