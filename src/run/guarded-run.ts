import { type Diagnostic, Refusal } from '../../shared/contract/index.ts';
import { ofAllStages, type StageHooks, type StagesResult } from '../../shared/engine/index.ts';
import { anchoredFrame, type LakeGrid, type LakeModel } from '../../shared/lake/index.ts';
import { pluginMessages as says } from '../../shared/text/index.ts';
import { type PipelineData, pipelineData, pipelineFromData } from './plugin-data.ts';
import { isWatchedBefore, type PipelineJob, runPipeline } from './run-pipeline.ts';
import type { Heartbeat } from './threads/heartbeat.ts';
import { Pool } from './threads/pool.ts';

interface GuardedRunSetup {
  readonly pipeline: PipelineData;
  readonly job: Omit<PipelineJob, 'pipeline' | 'sources'>;
}

/** Message from the thread of the pipeline while the pipeline runs. */
type GuardedRunNews =
  | { readonly diagnostic: Diagnostic }
  | { readonly what: string; readonly share?: number };

/** A result without its functions, since functions cannot be sent between threads. */
type SentResult = Omit<StagesResult, 'lake'> & {
  readonly lake?: Omit<LakeModel, 'grid'> & { readonly grid: Omit<LakeGrid, 'frame'> };
};

const resultOf = ({ lake, ...result }: SentResult): StagesResult => ({
  ...result,
  lake: lake && { ...lake, grid: { ...lake.grid, frame: anchoredFrame(result.survey) } },
});

/**
 * Runs the pipeline, in a thread of its own if it has a user's reader, log or survey plugin.
 *
 * @throws Refusal that names such a plugin when it hangs or exits, and any Refusal of `runPipeline`.
 */
export async function runGuarded(whole: PipelineJob, hooks: StageHooks): Promise<StagesResult> {
  if (!isWatchedBefore(whole.pipeline)) return runPipeline(whole, hooks);
  const { pipeline, sources, ...job } = whole;
  const data = pipelineData(pipeline, sources);
  const steps = ofAllStages(data);
  let result: SentResult | undefined;
  await new Pool(1).runWatched<undefined, SentResult>({
    task: 'run',
    setup: { pipeline: data, job } satisfies GuardedRunSetup,
    count: 1,
    requestAt: () => undefined,
    take: (_, answer) => {
      result = answer;
    },
    patience: job.patience,
    onLost(_, step = 0, isHung) {
      const { name } = steps[step];
      throw new Refusal([
        isHung ? says.hung(undefined, name, job.patience, 'run') : says.exited(undefined, name, 'run'),
      ]);
    },
    onSaid(news: GuardedRunNews) {
      if ('diagnostic' in news) hooks.report(news.diagnostic);
      else hooks.progress(news.what, news.share);
    },
  });
  return resultOf(result!);
}

/** Loads the pipeline in the thread that `runGuarded` begins. @returns Function that runs the pipeline. */
export async function serve(
  { pipeline: data, job }: GuardedRunSetup,
  heartbeat: Heartbeat,
  say: (news: GuardedRunNews) => void,
) {
  const made = await pipelineFromData(data);
  const names = ofAllStages(data).map(({ name, isUserPlugin }) => (isUserPlugin ? name : undefined));
  return async (): Promise<SentResult> => {
    const { lake, ...result } = await runPipeline(
      { ...job, ...made },
      {
        report: (diagnostic) => say({ diagnostic }),
        progress: (what, share) => say({ what, share }),
        enter(plugin) {
          const step = names.indexOf(plugin);
          if (step < 0) heartbeat.leave();
          else heartbeat.enter(step);
        },
      },
    );
    if (lake === undefined) return result;
    const { frame: _frame, ...grid } = lake.grid;
    return { ...result, lake: { ...lake, grid } };
  };
}
