import { type Fixes, readerOptions } from '../formats/csv/index.ts';
import type { PipelineJob } from '../run/index.ts';
import { logSettings } from './log-settings.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/** The pipeline's job for the logs of a run, without waypoints, which the commands add. */
export const pipelineJob = (
  resolved: ResolvedCommand,
  logFiles: readonly string[],
  fixes: Fixes | undefined,
): PipelineJob => ({
  pipeline: resolved.pipeline,
  sources: resolved.sources,
  logFiles,
  readerOptions: { ...resolved.values('reader', readerOptions), now: Date.now() / 1000, fixes },
  logOptions: logSettings(logFiles, resolved),
  waypoints: [],
  workers: resolved.workers,
  patience: resolved.inputs.patience,
  useStore:
    resolved.inputs.store &&
    ![...resolved.pipeline.reader, ...resolved.pipeline.log].some(({ isUserPlugin }) => isUserPlugin),
  keepInternals: false,
});
