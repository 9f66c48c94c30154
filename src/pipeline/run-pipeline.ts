import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import type { RowAccount, Survey } from '../../shared/contract/soundings.ts';
import type { Waypoint } from '../../shared/contract/waypoint.ts';
import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';
import { fromBuffers, indexBuffers } from '../../shared/survey-index.ts';
import type { ReaderOptions } from '../readers/reader-options.ts';
import { readSoundingLog } from '../readers/sounding-logs.ts';
import type { Pipeline } from './plan-pipeline.ts';
import { type PluginSources, stepData } from './plugin-data.ts';
import { type Enter, runLogSteps, runSurveySteps, takeRows } from './run-logs.ts';
import { runWaypoint } from './run-waypoint.ts';
import { createSurveyBuilder, type SurveyBuilder } from './survey-builder.ts';
import { runWaypointPool } from './waypoint-pool.ts';
import { withoutInternals } from './without-internals.ts';

/** Everything the pipeline needs, read and checked. */
export interface PipelineJob {
  readonly pipeline: Pipeline;
  readonly sources: PluginSources;
  readonly logFiles: readonly string[];
  readonly readerOptions: ReaderOptions;
  readonly waypoints: readonly Waypoint[];
  readonly workers: number;
  /** Longest time one plugin may take over one waypoint, s. */
  readonly patience: number;
  /** Keep grids and paths for pictures. */
  readonly keepInternals: boolean;
}

export interface PipelineHooks {
  readonly report: (diagnostic: Diagnostic) => void;
  readonly progress: (what: string, share?: number) => void;
  readonly enter?: Enter;
}

export interface PipelineResult {
  readonly waypoints: readonly EnrichedWaypoint[];
  readonly survey: Survey;
}

/**
 * Waypoints per worker below which starting threads costs more than it saves.
 *
 * A thread takes about 0.3 s to load and warm up; a waypoint takes about 10 ms.
 */
const WAYPOINTS_WORTH_A_WORKER = 40;

/** Logs to survey to enriched waypoints, in the order planned. @throws Refusal when an input is refused whole. */
export async function runPipeline(job: PipelineJob, hooks: PipelineHooks): Promise<PipelineResult> {
  const survey = await readSurvey(job, hooks);
  return { survey, waypoints: await runWaypoints(job, survey, hooks) };
}

/** Reads, cleans and joins all logs. */
export async function readSurvey(job: PipelineJob, hooks: PipelineHooks): Promise<Survey> {
  const builder = createSurveyBuilder();
  for (const [position, file] of job.logFiles.entries()) {
    hooks.progress(`Reading ${file}`, position / job.logFiles.length);
    await readLog(file, job, hooks, builder);
  }
  const { survey: steps } = job.pipeline;
  const progress = (share: number): void => hooks.progress('Comparing passes', share);
  return runSurveySteps(builder.build(), job.waypoints, steps, hooks.report, progress, hooks.enter);
}

async function readLog(
  file: string,
  job: PipelineJob,
  hooks: PipelineHooks,
  builder: SurveyBuilder,
): Promise<void> {
  const log = builder.addLog(file);
  const parts = readSoundingLog(file, job.readerOptions, hooks.report);
  let taken: RowAccount = { read: 0, used: 0, dropped: {} };
  let next = await parts.next();
  while (!next.done) {
    const { soundings, dropped } = runLogSteps(next.value, job.pipeline.log, hooks.report, hooks.enter);
    taken = takeRows(taken, dropped);
    builder.addPart(log, soundings);
    next = await parts.next();
  }
  builder.endLog(log, takeRows(next.value, taken.dropped));
}

async function runWaypoints(
  job: PipelineJob,
  survey: Survey,
  hooks: PipelineHooks,
): Promise<readonly EnrichedWaypoint[]> {
  const { waypoints, pipeline, sources } = job;
  if (waypoints.length === 0) return [];
  const buffers = indexBuffers(survey);
  const progress = (done: number): void => hooks.progress('Planning waypoints', done / waypoints.length);
  const hasOwn = pipeline.waypoint.some(({ isOwn }) => isOwn);
  const workers = Math.min(job.workers, Math.ceil(waypoints.length / WAYPOINTS_WORTH_A_WORKER));
  if (!hasOwn && workers <= 1) {
    const lake = { survey, waypoints, index: fromBuffers(buffers) };
    return waypoints.map((waypoint, done) => {
      progress(done);
      const enriched = runWaypoint(waypoint, lake, pipeline.waypoint);
      return job.keepInternals ? enriched : withoutInternals(enriched);
    });
  }
  const steps = pipeline.waypoint.map((step) => stepData(step, sources));
  const setup = { steps, survey, indexBuffers: buffers, waypoints, keepInternals: job.keepInternals };
  return runWaypointPool(setup, { workers, patience: job.patience, progress });
}
