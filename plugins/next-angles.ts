import { CAST_OPTIONS } from '../shared/contract/common-options.ts';
import { defineWaypointPlugin } from '../shared/contract/plugin.ts';
import { castPlanner } from '../shared/retrieve/cast-planner.ts';
import { planNextAngles } from '../shared/retrieve/next-angles.ts';

/** Casts to try when the first one goes quiet. */
export const nextAngles = defineWaypointPlugin({
  name: 'next-angles',
  summary:
    'What to try when they stop biting: quartering casts to either side, casts along the fish band and across the structure, each with its contact.',
  stage: 'waypoint',
  options: CAST_OPTIONS,
  requires: ['bottom', 'fish_top', 'fish_bottom'],
  uses: ['fish_source', 'downslope', 'upslope'],
  provides: ['angles'],
  run({ fields, waypoints }, options, context) {
    if (!context.isWanted('angles')) return {};
    const { bottom, fish_top: top, fish_bottom: deep, fish_source: source, downslope, upslope } = fields;
    if (bottom.grid === undefined) return {};
    const fish = { band: { top, bottom: deep }, isStated: source !== 'depth' };
    const planner = castPlanner(bottom, bottom.grid, fish, options, waypoints);
    return { angles: planNextAngles(planner, downslope, upslope) };
  },
});
