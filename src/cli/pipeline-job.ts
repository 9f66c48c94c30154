import type { Report, Waypoint } from '../../shared/contract/index.ts';
import type { StagesResult } from '../../shared/engine/index.ts';
import { type EnrichedLake, enrichLake } from '../engine/index.ts';
import { readInput } from '../files/index.ts';
import { type Fixes, fileSource, readerOptions, readFixes } from '../formats/csv/index.ts';
import type { LedgerEntry } from '../formats/gpx/index.ts';
import { bytesIfThere, type PipelineJob, runGuarded } from '../run/index.ts';
import type { InputFiles } from './input-files.ts';
import { logSettings } from './log-settings.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/** Makes the pipeline's job for the logs of a run, without waypoints. */
export const pipelineJob = (
  command: ResolvedCommand,
  logFiles: readonly string[],
  fixes?: Fixes,
): PipelineJob => ({
  pipeline: command.pipeline,
  sources: command.sources,
  logFiles,
  readerOptions: { ...command.values('reader', readerOptions), now: Date.now() / 1000, fixes },
  logOptions: logSettings(logFiles, command),
  waypoints: [],
  workers: command.workers,
  patience: command.inputs.patience,
  useStore:
    command.inputs.store &&
    ![...command.pipeline.reader, ...command.pipeline.log].some(({ isUserPlugin }) => isUserPlugin),
  keepInternals: false,
});

/** Reads the logs of a run, and runs the plugins of the log and survey stages. */
export async function runLogs(
  command: ResolvedCommand,
  { logs, tracks }: Pick<InputFiles, 'logs' | 'tracks'>,
  report: Report = command.io.report,
): Promise<StagesResult> {
  const fixes =
    tracks.length === 0 ? undefined : readFixes(await Promise.all(tracks.map(fileSource)), report);
  return runGuarded(pipelineJob(command, logs, await fixes), { report, progress: command.io.progress });
}

/**
 * Reads the waypoints of a run and runs the pipeline.
 *
 * @param given Boat positions written by earlier runs. @param jobOf Changes the job before it is run.
 */
export const runWaypointFiles = (
  command: ResolvedCommand,
  { waypoints, logs, tracks }: InputFiles,
  given: readonly LedgerEntry[],
  report: Report,
  jobOf: (job: PipelineJob) => PipelineJob,
): Promise<EnrichedLake> =>
  enrichLake(
    command,
    {
      waypoints,
      tracks,
      read: readInput,
      bytesIfThere,
      openTrack: fileSource,
      given,
      runStages: (found: readonly Waypoint[], fixes) =>
        runGuarded(jobOf({ ...pipelineJob(command, logs, fixes), waypoints: found }), {
          report,
          progress: command.io.progress,
        }),
    },
    report,
  );
