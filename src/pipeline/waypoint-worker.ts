import { once } from 'node:events';
import { isDeepStrictEqual } from 'node:util';
import { parentPort, workerData } from 'node:worker_threads';
import type { WaypointPlugin } from '../../shared/contract/plugin.ts';
import type { Survey } from '../../shared/contract/soundings.ts';
import { pluginChangedInput } from '../../shared/diagnostics/plugin.ts';
import { fromBuffers, indexBuffers } from '../../shared/survey-index.ts';
import { createHeartbeat } from './heartbeat.ts';
import { stepFromData } from './plugin-data.ts';
import { type Lake, runWaypoint } from './run-waypoint.ts';
import type { LakeBuffers, PoolAnswer, PoolRequest, WorkerSetup } from './waypoint-pool.ts';
import { withoutInternals } from './without-internals.ts';

const setup = workerData as WorkerSetup;
const heartbeat = createHeartbeat(setup.heartbeat);
const port = parentPort;
if (port === null) throw new Error('waypoint-worker runs only as a worker thread');

const steps = await Promise.all(setup.steps.map(stepFromData<WaypointPlugin>));
const waypoints = setup.waypoints.map((waypoint) => Object.freeze(waypoint));
const own = steps.filter(({ isOwn }) => isOwn).map(({ plugin }) => plugin.name);
const [{ survey, indexBuffers: shared }] = (await once(port, 'message')) as [LakeBuffers];
let lake = makeLake();

/** The lake, with a copy of its own for plugins that are not ours. */
function makeLake(): Lake {
  const index = fromBuffers(shared);
  if (own.length === 0) return { survey, waypoints, index };
  const copy = copySurvey(survey);
  return {
    survey,
    waypoints,
    index,
    copy: { survey: copy, waypoints, index: fromBuffers(indexBuffers(copy)) },
  };
}

function copySurvey(original: Survey): Survey {
  const entries = Object.entries(original).map(([name, value]) => [
    name,
    ArrayBuffer.isView(value) ? (value as Float64Array).slice() : value,
  ]);
  return Object.fromEntries(entries) as Survey;
}

port.on('message', ({ from, to, skip }: PoolRequest) => {
  const answers: PoolAnswer[] = [];
  for (let index = from; index < to; index++) {
    const enter = (position: number): void => heartbeat.enter(position, index);
    const enriched = runWaypoint(waypoints[index], lake, steps, enter, skip.get(index));
    heartbeat.leave();
    answers.push({ index, enriched: setup.keepInternals ? enriched : withoutInternals(enriched) });
  }
  const isHarmed = lake.copy !== undefined && !isDeepStrictEqual(survey, lake.copy.survey);
  for (const answer of isHarmed ? answers.map(blame) : answers) port.postMessage(answer);
  if (isHarmed) lake = makeLake();
  port.postMessage('idle');
});
port.postMessage('idle');

/** Soundings were written into: which waypoint's run did it cannot be told, so each of these says so. */
function blame({ index, enriched }: PoolAnswer): PoolAnswer {
  const place = { file: enriched.waypoint.file, waypoint: enriched.waypoint.name };
  const found = own.map((name) => ({ ...pluginChangedInput(name), place }));
  return { index, enriched: { ...enriched, diagnostics: [...enriched.diagnostics, ...found] } };
}
