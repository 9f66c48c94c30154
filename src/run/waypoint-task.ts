import { isDeepStrictEqual } from 'node:util';
import type { AnyWaypointPlugin } from '../../shared/contract/index.ts';
import { openWaypoints } from '../../shared/engine/index.ts';
import { pluginMessages as says } from '../../shared/text/index.ts';
import { stepFromData } from './plugin-data.ts';
import type { WaypointAnswer, WaypointRequest, WaypointSetup } from './run-waypoints.ts';
import type { Heartbeat } from './threads/heartbeat.ts';

/** Runs the waypoint plugins on the requested waypoints; see `run-waypoints.ts`. */
export async function serve(setup: WaypointSetup, heartbeat: Heartbeat) {
  const steps = await Promise.all(setup.steps.map(stepFromData<AnyWaypointPlugin>));
  const waypoints = setup.waypoints.map((waypoint) => Object.freeze(waypoint));
  const own = steps.filter(({ isUserPlugin }) => isUserPlugin).map(({ plugin }) => plugin.name);
  const open = () => openWaypoints({ ...setup, steps, waypoints }, setup.lake);
  let { lake, run } = open();
  return ({ index, skip }: WaypointRequest): WaypointAnswer => {
    const { waypoint, fields, diagnostics } = run(index, heartbeat.enter, skip);
    heartbeat.leave();
    if (lake.copy === undefined || isDeepStrictEqual(setup.lake.survey, lake.copy.survey))
      return { fields, diagnostics };
    // Which of the plugins modified the soundings is unknown.
    ({ lake, run } = open());
    const place = { file: waypoint.file, waypoint: waypoint.name };
    const found = own.map((name) => says['changed-input'](place, name, 'fields'));
    return { fields, diagnostics: [...diagnostics, ...found] };
  };
}
