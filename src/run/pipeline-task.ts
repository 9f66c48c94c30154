import type { MessagePort } from 'node:worker_threads';
import { Refusal } from '../../shared/contract/index.ts';
import type { StageHooks } from '../../shared/engine/index.ts';
import type { GuardedRunMessage, GuardedRunSetup } from './guarded-run.ts';
import { createHeartbeat } from './heartbeat.ts';
import { pipelineFromData } from './plugin-data.ts';
import { runPipeline } from './run-pipeline.ts';
import { withThreads } from './run-threads.ts';

/** Runs the pipeline in its own thread while the main thread watches it; see `guarded-run.ts`. */
export async function serve({ pipeline: data, job, heartbeat: buffer }: GuardedRunSetup, port: MessagePort) {
  const heartbeat = createHeartbeat(buffer);
  const send = (message: GuardedRunMessage): void => port.postMessage(message);
  const { pipeline, sources } = await pipelineFromData(data);
  const names = data.steps.map(({ name, isUserPlugin }) => (isUserPlugin ? name : undefined));
  const whole = { ...job, pipeline, sources };
  const hooks: StageHooks = {
    report: (diagnostic) => send({ diagnostic }),
    progress: (what, share) => send({ what, share }),
    enter: (plugin) => {
      const step = names.indexOf(plugin);
      if (step < 0) heartbeat.leave();
      else heartbeat.enter(step, -1);
    },
  };
  try {
    const { lake, ...result } = await withThreads(whole, (threads) => runPipeline(whole, threads, hooks));
    const { frame: _frame, ...grid } = lake?.grid ?? {};
    send({ result: lake === undefined ? result : { ...result, lake: { ...lake, grid: grid as never } } });
  } catch (cause) {
    if (!(cause instanceof Refusal)) throw cause;
    send({ refused: cause.diagnostics, status: cause.status });
  }
}
