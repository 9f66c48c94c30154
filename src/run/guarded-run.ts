import { type Diagnostic, Refusal } from '../../shared/contract/index.ts';
import type { StageHooks, StagesResult } from '../../shared/engine/index.ts';
import { anchoredFrame, type LakeGrid, type LakeModel } from '../../shared/lake/index.ts';
import { pluginExited, pluginHung } from '../../shared/text/index.ts';
import { createHeartbeat, watchHeartbeat } from './heartbeat.ts';
import { type PipelineData, pipelineData } from './plugin-data.ts';
import { isWatchedBefore, type PipelineJob, runPipeline } from './run-pipeline.ts';
import type { Threads } from './threads/threads.ts';

type JobData = Omit<PipelineJob, 'pipeline' | 'sources'>;

/** Data that the engine thread starts with. */
export interface GuardedRunSetup {
  readonly pipeline: PipelineData;
  readonly job: JobData;
  readonly heartbeat: SharedArrayBuffer;
}

/** Message from the engine thread. */
export type GuardedRunMessage =
  | { readonly diagnostic: Diagnostic }
  | { readonly what: string; readonly share?: number }
  | { readonly result: SentResult }
  | { readonly refused: readonly Diagnostic[]; readonly status: 1 | 2 };

/** A result without the functions, which cannot be sent in a message. */
export type SentResult = Omit<StagesResult, 'lake'> & {
  readonly lake?: Omit<LakeModel, 'grid'> & { readonly grid: Omit<LakeGrid, 'frame'> };
};

const resultOf = ({ lake, ...result }: SentResult): StagesResult => ({
  ...result,
  lake: lake && { ...lake, grid: { ...lake.grid, frame: anchoredFrame(result.survey) } },
});

/**
 * Runs the pipeline. With reader, log or survey plugins of the user, it runs in its own thread, so that a plugin
 * that hangs or exits can be named; nothing is written then.
 *
 * @param threads From `withThreads`.
 */
export function runGuarded(job: PipelineJob, threads: Threads, hooks: StageHooks): Promise<StagesResult> {
  return isWatchedBefore(job.pipeline) ? runInThread(job, threads, hooks) : runPipeline(job, threads, hooks);
}

function runInThread(
  { pipeline, sources, ...job }: PipelineJob,
  threads: Threads,
  hooks: StageHooks,
): Promise<StagesResult> {
  const data = pipelineData(pipeline, sources);
  const heartbeat = createHeartbeat();
  const thread = threads.take();
  const port = thread.begin('guarded-run', {
    pipeline: data,
    job,
    heartbeat: heartbeat.buffer,
  } satisfies GuardedRunSetup);
  const current = (): string => data.steps[heartbeat.current()?.step ?? 0].name;
  return new Promise((resolve, reject) => {
    const stopWatch = watchHeartbeat(heartbeat, job.patience, () => {
      reject(new Refusal([pluginHung(current(), job.patience, 'run')]));
      void thread.end();
    });
    port.on('message', (message: GuardedRunMessage) => {
      if ('diagnostic' in message) hooks.report(message.diagnostic);
      else if ('what' in message) hooks.progress(message.what, message.share);
      else if ('result' in message) resolve(resultOf(message.result));
      else reject(new Refusal(message.refused, message.status));
      if ('result' in message || 'refused' in message) void thread.end();
    });
    thread.ended.then((cause) => {
      stopWatch();
      reject(cause ?? new Refusal([pluginExited(current(), 'run')]));
    });
  });
}
