import { once } from 'node:events';
import { isDeepStrictEqual } from 'node:util';
import type { MessagePort } from 'node:worker_threads';
import type { AnyWaypointPlugin, Waypoint } from '../../shared/contract/index.ts';
import { type LakeBuffers, lakeOf, runWaypoint, withoutInternals } from '../../shared/engine/index.ts';
import { pluginChangedInput } from '../../shared/text/index.ts';
import { createHeartbeat } from './heartbeat.ts';
import { stepFromData } from './plugin-data.ts';
import type { WorkerAnswer, WorkerRequest, WorkerSetup } from './waypoint-pool.ts';

/** Runs the waypoint plugins on the requested waypoints; see `waypoint-pool.ts`. */
export async function serve(data: WorkerSetup, port: MessagePort): Promise<void> {
  const heartbeat = createHeartbeat(data.heartbeat);
  const steps = await Promise.all(data.steps.map(stepFromData<AnyWaypointPlugin>));
  const waypoints = data.waypoints.map((waypoint) => Object.freeze(waypoint));
  const own = steps.filter(({ isUserPlugin }) => isUserPlugin).map(({ plugin }) => plugin.name);
  const [buffers] = (await once(port, 'message')) as [LakeBuffers];
  const { survey } = buffers;
  let lake = lakeOf(buffers, waypoints, own.length > 0);

  port.on('message', ({ from, to, skip }: WorkerRequest) => {
    const answers: WorkerAnswer[] = [];
    for (let index = from; index < to; index++) {
      const enter = (position: number): void => heartbeat.enter(position, index);
      const enriched = runWaypoint(waypoints[index], lake, steps, enter, skip.get(index));
      heartbeat.leave();
      const { fields, diagnostics } = data.keepInternals ? enriched : withoutInternals(enriched);
      answers.push({ fields, diagnostics });
    }
    const isHarmed = lake.copy !== undefined && !isDeepStrictEqual(survey, lake.copy.survey);
    port.postMessage(
      isHarmed ? answers.map((answer, i) => blame(answer, waypoints[from + i], own)) : answers,
    );
    if (isHarmed) lake = lakeOf(buffers, waypoints, true);
  });
  // An empty answer says that the thread is ready for its first request.
  port.postMessage([]);
}

/**
 * Reports that a plugin modified the soundings. Which waypoint's run did it is unknown, so every waypoint of the
 * request gets the report.
 */
function blame(answer: WorkerAnswer, waypoint: Waypoint, own: readonly string[]): WorkerAnswer {
  const place = { file: waypoint.file, waypoint: waypoint.name };
  const found = own.map((name) => ({ ...pluginChangedInput(name, 'fields'), place }));
  return { ...answer, diagnostics: [...answer.diagnostics, ...found] };
}
