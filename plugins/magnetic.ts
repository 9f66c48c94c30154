import { defineWaypointPlugin } from '../shared/contract/index.ts';
import { magneticDeclination } from '../shared/geo/index.ts';
import { dateOption, magneticMessages as say } from '../shared/retrieve/index.ts';

export const magnetic = defineWaypointPlugin({
  name: 'magnetic',
  summary: 'Gives the magnetic declination at the waypoint (World Magnetic Model) on the day of the plan.',
  stage: 'waypoint',
  options: { date: dateOption },
  requires: [],
  provides: ['declination'],
  run({ waypoint }, { date }, context) {
    const found = magneticDeclination(waypoint.lat, waypoint.lon, date);
    if ('declination' in found) return { declination: found.declination };
    context.report(found.unknown === 'date' ? say.day(undefined, date) : say.pole(undefined));
    return {};
  },
});
