import type { EnrichedWaypoint } from '../../shared/contract/index.ts';
import {
  type LakeBuffers,
  openWaypoints,
  type Pipeline,
  reduceLogs,
  runStages,
  type StageHooks,
  type StagesResult,
  waypointSteps,
} from '../../shared/engine/index.ts';
import { makeLakeModel } from '../../shared/lake/index.ts';
import { type LogJob, type OpenLog, optionsFor, readersFor, reduceLog, reducerFor } from '../run/index.ts';

/** Input of the stages when they run without threads and files. */
interface InlineJob extends LogJob {
  readonly pipeline: Pipeline;
  readonly logs: readonly string[];
  readonly open: OpenLog;
  /** Whether to keep the bottom model at each waypoint and the paths under its casts. */
  readonly keepInternals: boolean;
  readonly signal?: AbortSignal | undefined;
}

/** Runs all stages in this thread, yielding to other work between parts of logs and between waypoints. */
export function runStagesInline(job: InlineJob, hooks: StageHooks): Promise<StagesResult> {
  const { signal } = job;
  const readOne = (log: string, progress: (share: number) => void) => {
    const shareOf = (read: number, all: number): void => progress(all === 0 ? 1 : read / all);
    const reduce = reducerFor(job, log);
    return reduceLog(
      log,
      { ...optionsFor(job, log), progress: shareOf },
      async (part) => {
        await pause(signal);
        return reduce(part);
      },
      readersFor(job, job.open),
    );
  };
  const parts = {
    readLogs: () => reduceLogs(job.logs, readOne, hooks),
    async modelLake(survey: LakeBuffers['survey'], progress: (share: number) => void) {
      await pause(signal);
      return makeLakeModel(survey, undefined, progress);
    },
    runWaypoints: (lake: LakeBuffers, progress: (done: number) => void) => runWaypoints(job, lake, progress),
  };
  return runStages(job, parts, hooks);
}

async function runWaypoints(
  job: InlineJob,
  buffers: LakeBuffers,
  progress: (done: number) => void,
): Promise<EnrichedWaypoint[]> {
  const { run } = openWaypoints({ ...job, steps: waypointSteps(job.pipeline, job.keepInternals) }, buffers);
  const results: EnrichedWaypoint[] = [];
  for (const index of job.waypoints.keys()) {
    await pause(job.signal);
    results.push(run(index));
    progress(results.length);
  }
  return results;
}

/** Yields to other work, so that a page responds and an abort is noticed. @throws The reason of an abort. */
export async function pause(signal: AbortSignal | undefined): Promise<void> {
  signal?.throwIfAborted();
  await new Promise<void>((resolve) => {
    const { port1, port2 } = new MessageChannel();
    // Browsers slow down the timers of a hidden page, but not its messages.
    Object.assign(port1, {
      onmessage() {
        port1.close();
        resolve();
      },
    });
    port2.postMessage(undefined);
  });
  signal?.throwIfAborted();
}
