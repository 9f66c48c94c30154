import { parentPort, workerData } from 'node:worker_threads';
import type { EnrichedWaypoint, WaypointPlugin } from '../../shared/contract/plugin.ts';
import { fromBuffers } from '../../shared/survey-index.ts';
import { loadPlugin } from './built-in.ts';
import type { Step } from './plan-pipeline.ts';
import { type Lake, runWaypoint } from './run-waypoint.ts';
import type { PoolAnswer, PoolRequest, WorkerSetup } from './waypoint-pool.ts';
import { withoutInternals } from './without-internals.ts';

const setup = workerData as WorkerSetup;
const heartbeat = new Int32Array(setup.heartbeat);
const port = parentPort;
if (port === null) throw new Error('waypoint-worker runs only as a worker thread');

const steps: Step<WaypointPlugin>[] = [];
for (const { source, name, options } of setup.steps) {
  steps.push({ plugin: (await loadPlugin(source, name)) as WaypointPlugin, options });
}
const lake: Lake = {
  survey: setup.survey,
  waypoints: setup.waypoints,
  index: fromBuffers(setup.indexBuffers),
};

port.on('message', ({ from, to, skip }: PoolRequest) => {
  for (let index = from; index < to; index++) {
    const enter = (position: number): void => {
      Atomics.store(heartbeat, 0, index);
      Atomics.store(heartbeat, 1, position);
      Atomics.add(heartbeat, 2, 1);
    };
    const enriched = runWaypoint(setup.waypoints[index], lake, steps, enter, skip.get(index));
    Atomics.store(heartbeat, 1, -1);
    port.postMessage({
      index,
      enriched: setup.keepInternals ? enriched : withoutInternals(enriched),
    } satisfies PoolAnswer);
  }
  port.postMessage('idle');
});
port.postMessage('idle');

export type { EnrichedWaypoint };
