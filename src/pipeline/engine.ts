import { Worker } from 'node:worker_threads';
import { type Diagnostic, Refusal } from '../../shared/diagnostics/diagnostic.ts';
import { pluginExited, pluginHung } from '../../shared/diagnostics/plugin.ts';
import { programFile } from '../program-files.ts';
import { createHeartbeat, watchHeartbeat } from './heartbeat.ts';
import { type PipelineData, pipelineData } from './plugin-data.ts';
import { type PipelineHooks, type PipelineJob, type PipelineResult, runPipeline } from './run-pipeline.ts';

type JobData = Omit<PipelineJob, 'pipeline' | 'sources'>;

/** What the engine's thread is given. */
export interface EngineSetup {
  readonly pipeline: PipelineData;
  readonly job: JobData;
  readonly heartbeat: SharedArrayBuffer;
}

/** What the engine's thread says. */
export type EngineMessage =
  | { readonly diagnostic: Diagnostic }
  | { readonly what: string; readonly share?: number }
  | { readonly result: PipelineResult }
  | { readonly refused: readonly Diagnostic[]; readonly status: 1 | 2 };

/**
 * Runs the pipeline; in a thread of its own when log or survey plugins of the person's own are in it,
 * so that one that never returns or ends its process is named and the run refused, with nothing written.
 */
export function runGuarded(job: PipelineJob, hooks: PipelineHooks): Promise<PipelineResult> {
  const isWatched = [...job.pipeline.log, ...job.pipeline.survey].some(({ isOwn }) => isOwn);
  return isWatched ? runInThread(job, hooks) : runPipeline(job, hooks);
}

function runInThread(
  { pipeline, sources, ...job }: PipelineJob,
  hooks: PipelineHooks,
): Promise<PipelineResult> {
  const data = pipelineData(pipeline, sources);
  const heartbeat = createHeartbeat();
  const workerData: EngineSetup = { pipeline: data, job, heartbeat: heartbeat.buffer };
  const worker = new Worker(programFile('pipeline/engine-worker'), { workerData, stdout: true });
  const current = (): string => data.steps[heartbeat.current()?.step ?? 0].name;
  return new Promise((resolve, reject) => {
    const stopWatch = watchHeartbeat(heartbeat, job.patience, () => {
      reject(new Refusal([pluginHung(current(), job.patience)]));
      void worker.terminate();
    });
    worker.on('message', (message: EngineMessage) => {
      if ('diagnostic' in message) hooks.report(message.diagnostic);
      else if ('what' in message) hooks.progress(message.what, message.share);
      else if ('result' in message) resolve(message.result);
      else reject(new Refusal(message.refused, message.status));
      if ('result' in message || 'refused' in message) void worker.terminate();
    });
    worker.on('error', reject);
    worker.on('exit', () => {
      stopWatch();
      reject(new Refusal([pluginExited(current())]));
    });
  });
}
