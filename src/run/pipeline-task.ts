import { ofAllStages } from '../../shared/engine/index.ts';
import type { GuardedRunNews, GuardedRunSetup, SentResult } from './guarded-run.ts';
import { pipelineFromData } from './plugin-data.ts';
import { runPipeline } from './run-pipeline.ts';
import type { Heartbeat } from './threads/heartbeat.ts';

/** Runs the pipeline in its own thread while the main thread watches it; see `guarded-run.ts`. */
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
