import { type Fixes, readerOptions } from '../formats/csv/index.ts';
import type { PipelineJob } from '../run/index.ts';
import { logSettings } from './log-settings.ts';
import type { Settled } from './settle.ts';

/** The pipeline's job for the logs of a run, without waypoints, which the commands add. */
export const pipelineJob = async (
  settled: Settled,
  logFiles: readonly string[],
  fixes: Fixes | undefined,
): Promise<PipelineJob> => ({
  pipeline: settled.pipeline,
  sources: settled.sources,
  logFiles,
  readerOptions: { ...settled.values('reader', readerOptions), now: Date.now() / 1000, fixes },
  logOptions: await logSettings(logFiles, settled),
  waypoints: [],
  workers: settled.workers,
  patience: settled.inputs.patience,
  useStore:
    settled.inputs.store && ![...settled.pipeline.reader, ...settled.pipeline.log].some(({ isOwn }) => isOwn),
  keepInternals: false,
});
