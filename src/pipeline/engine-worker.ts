import { parentPort, workerData } from 'node:worker_threads';
import { Refusal } from '../../shared/diagnostics/diagnostic.ts';
import type { EngineMessage, EngineSetup } from './engine.ts';
import { createHeartbeat } from './heartbeat.ts';
import { pipelineFromData } from './plugin-data.ts';
import { runPipeline } from './run-pipeline.ts';

const { pipeline: data, job, heartbeat: buffer } = workerData as EngineSetup;
const port = parentPort;
if (port === null) throw new Error('engine-worker runs only as a worker thread');
const heartbeat = createHeartbeat(buffer);
const send = (message: EngineMessage): void => port.postMessage(message);

try {
  const { pipeline, sources } = await pipelineFromData(data);
  const names = data.steps.map(({ name, isOwn }) => (isOwn ? name : undefined));
  const result = await runPipeline(
    { ...job, pipeline, sources },
    {
      report: (diagnostic) => send({ diagnostic }),
      progress: (what, share) => send({ what, share }),
      enter: (plugin) => {
        const step = names.indexOf(plugin);
        if (step < 0) heartbeat.leave();
        else heartbeat.enter(step, -1);
      },
    },
  );
  send({ result });
} catch (cause) {
  if (!(cause instanceof Refusal)) throw cause;
  send({ refused: cause.diagnostics, status: cause.status });
}
