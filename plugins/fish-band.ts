import { fishDepthOption, unitsOption } from '../shared/contract/common-options.ts';
import { defineWaypointPlugin } from '../shared/contract/plugin.ts';
import { METERS_PER } from '../shared/geo/units.ts';
import { fishBandOf } from '../shared/text/fish-band-text.ts';
import { bandUnknown } from '../shared/text/messages/cast.ts';

/** Fish marked at a depth are taken to be from 3 ft above it to 3 ft below it, m; in shallow water within a quarter of it. */
const ALLOWANCE = 3 * METERS_PER.ft;
const SHALLOW_SHARE = 0.25;

/** Depth band of the fish: from the waypoint's text, else the option, else the waypoint's own depth. */
export const fishBand = defineWaypointPlugin({
  name: 'fish-band',
  summary:
    "Depth band of the fish: a range in the waypoint's text, else --fish-depth, else the waypoint's depth less and plus 3 ft.",
  stage: 'waypoint',
  options: { units: unitsOption, fishDepth: fishDepthOption },
  requires: [],
  uses: ['depth'],
  provides: ['fish_top', 'fish_bottom', 'fish_source'],
  run({ waypoint, fields }, { units, fishDepth }, context) {
    const noted = fishBandOf(
      [waypoint.comment, waypoint.description, waypoint.name],
      units === 'm' ? 'm' : 'ft',
    );
    if (noted !== undefined)
      return { fish_top: noted.top, fish_bottom: noted.bottom, fish_source: 'note' as const };
    if (fishDepth !== undefined)
      return { fish_top: fishDepth.top, fish_bottom: fishDepth.bottom, fish_source: 'option' as const };
    const depth = fields.depth ?? waypoint.depth;
    if (depth === undefined || !(depth > 0)) {
      context.report(bandUnknown());
      return {};
    }
    const allowance = Math.min(ALLOWANCE, SHALLOW_SHARE * depth);
    return { fish_top: depth - allowance, fish_bottom: depth + allowance, fish_source: 'depth' as const };
  },
});
