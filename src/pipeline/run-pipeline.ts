import { createHash } from 'node:crypto';
import { statSync } from 'node:fs';
import { INTERNAL_FIELDS } from '../../shared/contract/fields.ts';
import type { EnrichedWaypoint, WaypointPlugin } from '../../shared/contract/plugin.ts';
import type { Survey } from '../../shared/contract/soundings.ts';
import type { Waypoint } from '../../shared/contract/waypoint.ts';
import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';
import { storeUsed } from '../../shared/diagnostics/store.ts';
import { fromBuffers } from '../../shared/survey-index.ts';
import type { ReaderOptions } from '../readers/reader-options.ts';
import type { StoredLog } from '../store/log-codec.ts';
import { VERSION } from '../version.ts';
import { type EarlyIndex, startIndex } from './early-index.ts';
import { type LogPool, openLogPool } from './log-pool.ts';
import type { Pipeline, Step } from './plan-pipeline.ts';
import { type PluginSources, stepData } from './plugin-data.ts';
import { type ReducePart, type ReduceRanges, reduceHere, reduceLog } from './reduce-log.ts';
import { reduceRanges } from './reduce-ranges.ts';
import { type Enter, runSurveySteps } from './run-logs.ts';
import { runWaypoint } from './run-waypoint.ts';
import { createSurveyBuilder } from './survey-builder.ts';
import { openWaypointPool, type WaypointPool } from './waypoint-pool.ts';
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
  /** Take unchanged logs from the lake store, and keep new ones there. */
  readonly useStore: boolean;
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
/** Bytes of logs below which the same holds for reading. */
const BYTES_WORTH_A_WORKER = 24e6;
/** Bytes of logs from which threads for waypoints are started only after reading. */
const BYTES_WORTH_WAITING = 40e6;

/** Logs to survey to enriched waypoints, in the order planned. @throws Refusal when an input is refused whole. */
export async function runPipeline(job: PipelineJob, hooks: PipelineHooks): Promise<PipelineResult> {
  // Threads load their modules while this one reads; on long logs only then, as they would lie idle in the way.
  const isShort = bytesOf(job.logFiles) < BYTES_WORTH_WAITING;
  let pool = isShort ? openPoolFor(job) : undefined;
  let index: EarlyIndex | undefined;
  try {
    const logs = await reduceLogs(job, hooks);
    pool ??= openPoolFor(job);
    const joined = joinLogs(logs, job, hooks);
    if (job.waypoints.length > 0) index = startIndex(joined, job.workers);
    const survey = cleanSurvey(joined, job, hooks);
    return { survey, waypoints: await runWaypoints(job, survey, index, pool, hooks) };
  } finally {
    await Promise.all([pool?.close(), index?.close()]);
  }
}

/** Reads, cleans and joins all logs; those that the store has unchanged are not read again. */
export const readSurvey = async (job: PipelineJob, hooks: PipelineHooks): Promise<Survey> =>
  cleanSurvey(joinLogs(await reduceLogs(job, hooks), job, hooks), job, hooks);

/** One survey of all logs. */
function joinLogs(logs: readonly StoredLog[], job: PipelineJob, hooks: PipelineHooks): Survey {
  const builder = createSurveyBuilder();
  for (const [position, log] of logs.entries()) {
    log.diagnostics.forEach(hooks.report);
    const number = builder.addLog(job.logFiles[position]);
    builder.addPart(number, log.soundings);
    builder.endLog(number, log.account);
  }
  return builder.build();
}

/** A survey after the survey plugins. */
function cleanSurvey(survey: Survey, { pipeline, waypoints }: PipelineJob, hooks: PipelineHooks): Survey {
  const progress = (share: number): void => hooks.progress('Comparing passes', share);
  return runSurveySteps(survey, waypoints, pipeline.survey, hooks.report, progress, hooks.enter);
}

/** Every log reduced, in the order of the files. */
async function reduceLogs(job: PipelineJob, hooks: PipelineHooks): Promise<StoredLog[]> {
  const { openLakeStore } = job.useStore ? await import('../store/lake-store.ts') : {};
  const store = openLakeStore?.(reductionOf(job), hooks.report);
  const known = await Promise.all(job.logFiles.map((file) => store?.find(file)));
  const toRead = job.logFiles.filter((_, position) => known[position] === undefined);
  const pool = openPool(job, toRead);
  const here = reduceHere(job.pipeline.log, hooks.enter);
  const reduce: ReducePart = async (part) => pool?.reduce(part) ?? here(part);
  const ranges = job.pipeline.log.some(({ isOwn }) => isOwn) ? undefined : rangesOver(pool, job, hooks);
  try {
    const logs: StoredLog[] = [];
    for (const [position, file] of job.logFiles.entries()) {
      const progress = (share: number): void =>
        hooks.progress(`Reading ${file}`, (position + share) / job.logFiles.length);
      progress(0);
      const options = { ...job.readerOptions, progress: (read: number, all: number) => progress(read / all) };
      const log = known[position] ?? (await reduceLog(file, options, reduce, ranges));
      if (known[position] === undefined) await store?.keep(file, log);
      logs.push(log);
    }
    if (toRead.length < logs.length) hooks.report(storeUsed(logs.length - toRead.length, toRead.length));
    return logs;
  } finally {
    await pool?.close();
  }
}

/** Ranges of a log are taken by this thread and all of the pool; not where a plugin of the person's own wants its part. */
const rangesOver =
  (pool: LogPool | undefined, { pipeline }: PipelineJob, { enter }: PipelineHooks): ReduceRanges =>
  async (job, take) => {
    const others = pool?.reduceRanges(job, take);
    await Promise.all([reduceRanges(job, pipeline.log, take, enter), others]);
  };

/** Threads for the log plugins beside the one that reads, where there is enough to read; never for plugins not ours. */
function openPool(
  { pipeline, sources, workers }: PipelineJob,
  files: readonly string[],
): LogPool | undefined {
  if (workers < 2 || bytesOf(files) < BYTES_WORTH_A_WORKER || pipeline.log.some(({ isOwn }) => isOwn))
    return undefined;
  return openLogPool(
    pipeline.log.map((step) => stepData(step, sources)),
    workers - 1,
  );
}

const bytesOf = (files: readonly string[]): number =>
  files.reduce((sum, file) => sum + (statSync(file, { throwIfNoEntry: false })?.size ?? 0), 0);

/** What a reduced log depends on besides its own bytes. */
function reductionOf({ pipeline, readerOptions }: PipelineJob): unknown {
  const { now: _now, progress: _progress, fixes, ...options } = readerOptions;
  return {
    version: VERSION,
    options,
    fixes: fixes === undefined ? undefined : digestOf([fixes.time, fixes.lat, fixes.lon]),
    steps: pipeline.log.map(({ plugin, options: values }) => [plugin.name, values]),
  };
}

function digestOf(columns: readonly Float64Array[]): string {
  const hash = createHash('sha256');
  for (const column of columns) hash.update(column);
  return hash.digest('hex');
}

/** Threads for the waypoints, where there are enough of them or where plugins are watched. */
function openPoolFor(job: PipelineJob): WaypointPool | undefined {
  const { waypoints, sources, keepInternals, patience } = job;
  const planned = stepsOf(job);
  const workers = Math.min(job.workers, Math.ceil(waypoints.length / WAYPOINTS_WORTH_A_WORKER));
  if (waypoints.length === 0 || (workers <= 1 && !planned.some(({ isOwn }) => isOwn))) return undefined;
  const steps = planned.map((step) => stepData(step, sources));
  return openWaypointPool({ steps, waypoints, keepInternals }, { workers, patience });
}

async function runWaypoints(
  job: PipelineJob,
  survey: Survey,
  index: EarlyIndex | undefined,
  pool: WaypointPool | undefined,
  hooks: PipelineHooks,
): Promise<readonly EnrichedWaypoint[]> {
  const { waypoints } = job;
  if (index === undefined) return [];
  const buffers = await index.of(survey);
  const progress = (done: number): void => hooks.progress('Planning waypoints', done / waypoints.length);
  if (pool !== undefined) return pool.run({ survey, indexBuffers: buffers }, progress);
  const planned = stepsOf(job);
  const lake = { survey, waypoints, index: fromBuffers(buffers) };
  return waypoints.map((waypoint, done) => {
    progress(done);
    const enriched = runWaypoint(waypoint, lake, planned);
    return job.keepInternals ? enriched : withoutInternals(enriched);
  });
}

/** The waypoint steps; pictures read fields that no table shows. */
const stepsOf = ({ pipeline, keepInternals }: PipelineJob): readonly Step<WaypointPlugin>[] =>
  keepInternals
    ? pipeline.waypoint.map((step) => ({ ...step, wanted: Object.keys(INTERNAL_FIELDS) }))
    : pipeline.waypoint;
