import { defineWaypointPlugin } from '../shared/contract/plugin.ts';
import { magneticDeclination } from '../shared/geo/magnetic.ts';
import { declinationUnknownDay, declinationUnknownPlace } from '../shared/retrieve/cast-messages.ts';
import { dateOption } from '../shared/retrieve/common-options.ts';

/** Magnetic declination at each waypoint on the day of the plan. */
export const magnetic = defineWaypointPlugin({
  name: 'magnetic',
  summary: 'Magnetic declination at the waypoint (World Magnetic Model 2025) on the day of the plan.',
  stage: 'waypoint',
  options: { date: dateOption },
  requires: [],
  provides: ['declination'],
  run({ waypoint }, { date }, context) {
    const found = magneticDeclination(waypoint.lat, waypoint.lon, date);
    if ('declination' in found) return { declination: found.declination };
    context.report(found.unknown === 'date' ? declinationUnknownDay(date) : declinationUnknownPlace());
    return {};
  },
});
