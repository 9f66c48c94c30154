import { defineWaypointPlugin } from '../shared/contract/index.ts';
import { CAST_OPTIONS, castPlanner, planNextAngles, unitsOption } from '../shared/retrieve/index.ts';
import { nextAngleText } from '../shared/text/index.ts';

export const nextAngles = defineWaypointPlugin({
  name: 'next-angles',
  summary:
    'Finds what to try when the fish stop biting: quartering casts to either side, casts along the fish band and across the structure, each with its length on bottom.',
  stage: 'waypoint',
  options: { units: unitsOption, ...CAST_OPTIONS },
  requires: ['bottom', 'fish_top', 'fish_bottom'],
  uses: ['declination', 'fish_source', 'downslope', 'upslope'],
  provides: ['angles', 'next_angles'],
  run({ fields, waypoints }, options) {
    const { bottom, fish_top: top, fish_bottom: deep, fish_source: source, downslope, upslope } = fields;
    if (bottom.grid === undefined) return {};
    const fish = { band: { top, bottom: deep }, isStated: source !== 'depth' };
    const planner = castPlanner(bottom, bottom.grid, fish, options, waypoints);
    const angles = planNextAngles(planner, downslope, upslope);
    if (angles.length === 0) return { angles };
    return { angles, next_angles: nextAngleText(angles, fields.declination, options.units) };
  },
});
