import { createHash } from 'node:crypto';
import { unseenOf } from '../../shared/bottom/index.ts';
import {
  type Diagnostic,
  type EnrichedWaypoint,
  INTERNAL_FIELDS,
  type LakeBottom,
  type LogSummary,
  Refusal,
  type Survey,
  type Waypoint,
  type WaypointPlugin,
} from '../../shared/contract/index.ts';
import { LAKE_GRID, lakeBottom } from '../../shared/lake/index.ts';
import { fromBuffers } from '../../shared/survey/index.ts';
import { lakeTooLarge, logChanged, storeUsed } from '../../shared/text/index.ts';
import { identityOf, isUnchanged } from '../files/index.ts';
import type { ReaderOptions } from '../formats/csv/index.ts';
import { VERSION } from '../version.ts';
import { startIndex } from './early-index.ts';
import { type LogPool, openLogPool } from './log-pool.ts';
import { modelLake } from './model-lake.ts';
import type { Pipeline, Step } from './plan-pipeline.ts';
import { type PluginSources, stepData } from './plugin-data.ts';
import { type ReducePart, reduceHere, reduceLog } from './reduce-log.ts';
import { type Enter, runSurveySteps } from './run-logs.ts';
import { threadsForLogs } from './run-threads.ts';
import type { StoredLog } from './store/log-codec.ts';
import { openTileStore } from './store/tile-store.ts';
import { createSurveyBuilder } from './survey-builder.ts';
import type { TaskName, Threads } from './threads/threads.ts';
import { openWaypointPool, type WaypointPool } from './waypoint-pool.ts';

/** Everything the pipeline needs, read and checked. */
export interface PipelineJob {
  readonly pipeline: Pipeline;
  readonly sources: PluginSources;
  readonly logFiles: readonly string[];
  readonly readerOptions: ReaderOptions;
  /** What single logs are read with besides, by file. */
  readonly logOptions?: ReadonlyMap<string, Partial<ReaderOptions>>;
  readonly waypoints: readonly Waypoint[];
  readonly workers: number;
  /** Longest time one plugin may take over one waypoint, s. */
  readonly patience: number;
  /** Take unchanged logs from the lake store, and keep new ones there. */
  readonly useStore: boolean;
  /** Keep grids and paths for pictures. */
  readonly keepInternals: boolean;
  /** What comes after the pipeline: a thread that has nothing left to do in it loads that meanwhile. */
  readonly after?: TaskName;
}

export interface PipelineHooks {
  readonly report: (diagnostic: Diagnostic) => void;
  readonly progress: (what: string, share?: number) => void;
  readonly enter?: Enter;
}

export interface PipelineResult {
  /** Logs that were refused while others could be used; why is among what was reported. */
  readonly leftOut: readonly string[];
  readonly waypoints: readonly EnrichedWaypoint[];
  readonly survey: Survey;
}

/**
 * Waypoints per worker below which another costs more than it saves.
 *
 * A thread takes about 0.3 s to load and warm up; a waypoint takes about 10 ms.
 */
const WAYPOINTS_WORTH_A_WORKER = 40;

/**
 * Logs to survey to enriched waypoints, in the order planned.
 *
 * @param threads As `withThreads` gives them.
 * @throws Refusal when an input is refused whole.
 */
export async function runPipeline(
  job: PipelineJob,
  threads: Threads,
  hooks: PipelineHooks,
): Promise<PipelineResult> {
  // Where no threads read, those for waypoints load their modules meanwhile.
  const early = threadsForLogs(job, job.logFiles) === 0 ? openPoolFor(job, threads) : undefined;
  const { logs, kept, leftOut } = await reduceLogs(job, threads, hooks);
  const joined = joinLogs(logs, hooks);
  if (job.waypoints.length === 0) {
    await kept;
    return { survey: cleanSurvey(joined, job, hooks), waypoints: [], leftOut };
  }
  const next = workersFor(job) > 1 ? 'waypoint' : job.after;
  const indexOf = startIndex(joined, job.workers > 1 ? threads : undefined, next);
  const survey = cleanSurvey(joined, job, hooks);
  const index = await indexOf(survey);
  const pool = early ?? openPoolFor(job, threads);
  const progress = (done: number): void => hooks.progress('Planning waypoints', done / job.waypoints.length);
  const isRead = job.pipeline.waypoint.some(({ plugin }) => plugin.readsUnseen);
  const lake = await lakeOf(survey, job, threads, hooks);
  const unseen = isRead ? unseenOf(survey, fromBuffers(index)) : undefined;
  const waypoints = await pool.run({ survey, index, unseen, lake }, progress);
  await kept;
  return { survey, waypoints, leftOut };
}

/** The whole lake, where a plugin reads it; without it where it spans too much ground for one grid. */
async function lakeOf(
  survey: Survey,
  { pipeline, logFiles, workers, useStore }: PipelineJob,
  threads: Threads,
  { report, progress }: PipelineHooks,
): Promise<LakeBottom | undefined> {
  if (survey.count === 0 || !pipeline.waypoint.some(({ plugin }) => plugin.readsLake)) return undefined;
  const store = useStore && logFiles.length > 0 ? openTileStore(logFiles[0], report) : undefined;
  try {
    const model = await modelLake(survey, { grid: LAKE_GRID, workers, store }, threads, (share) =>
      progress('Modeling the lake', share),
    );
    return model && lakeBottom(model.grid, model.lines, model.areas);
  } catch (cause) {
    if (!(cause instanceof RangeError)) throw cause;
    report({ ...lakeTooLarge(), severity: 'warning' });
    return undefined;
  }
}

/** True where a plugin of the user runs before the waypoints: the whole pipeline is watched then. */
export const isWatchedBefore = ({ reader, log, survey }: Pipeline): boolean =>
  [...reader, ...log, ...survey].some(({ isOwn }) => isOwn);

/** One survey of all logs. */
function joinLogs(logs: ReducedLogs['logs'], hooks: PipelineHooks): Survey {
  const builder = createSurveyBuilder();
  for (const { file, log } of logs) {
    log.diagnostics.forEach(hooks.report);
    const number = builder.addLog(file);
    builder.addPart(number, log.soundings);
    builder.endLog(number, log.account, depthUnitOf(log));
  }
  return builder.build();
}

/** Unit that the depths of a log were read in, as the reader said; undefined for one that no sonar shows. */
function depthUnitOf({ diagnostics }: StoredLog): LogSummary['depthUnit'] {
  const said = diagnostics.find(({ code }) => code === 'soundings/depth-unit')?.values?.unit;
  return DEPTH_UNITS.find((unit) => unit === said);
}

const DEPTH_UNITS = ['m', 'ft', 'fm'] as const;

/** A survey after the survey plugins. */
function cleanSurvey(survey: Survey, { pipeline, waypoints }: PipelineJob, hooks: PipelineHooks): Survey {
  const progress = (share: number): void => hooks.progress('Comparing passes', share);
  return runSurveySteps(survey, waypoints, pipeline.survey, hooks.report, progress, hooks.enter);
}

interface ReducedLogs {
  /** In the order of the files. */
  readonly logs: readonly { readonly file: string; readonly log: StoredLog }[];
  readonly kept: Promise<unknown>;
  readonly leftOut: readonly string[];
}

/** Every log reduced, in the order of the files; `kept` resolves when the new ones are in the store. */
async function reduceLogs(job: PipelineJob, threads: Threads, hooks: PipelineHooks): Promise<ReducedLogs> {
  const { openLakeStore } = job.useStore ? await import('./store/lake-store.ts') : {};
  const store = openLakeStore?.((file) => reductionOf(job, file), hooks.report);
  const known = await Promise.all(job.logFiles.map((file) => store?.find(file)));
  const toRead = job.logFiles.filter((_, position) => known[position] === undefined);
  const pool = openLogPoolFor(job, toRead, threads);
  const here = reduceHere(job.pipeline.log, hooks.enter);
  const reduce: ReducePart = async (part) => pool?.reduce(part) ?? here(part);
  const readers = { steps: job.pipeline.reader, places: job.waypoints, enter: hooks.enter };
  // A plugin of the user may write into what is to be kept, and its thread may be ended.
  const isWatched = isWatchedBefore(job.pipeline);
  try {
    const logs: { file: string; log: StoredLog }[] = [];
    const refused = new Map<string, readonly Diagnostic[]>();
    const keeping: (Promise<void> | undefined)[] = [];
    for (const [position, file] of job.logFiles.entries()) {
      const progress = (share: number): void =>
        hooks.progress(`Reading ${file}`, (position + share) / job.logFiles.length);
      progress(0);
      const options = {
        ...optionsFor(job, file),
        progress: (read: number, all: number) => progress(read / all),
      };
      const stored = known[position];
      if (stored !== undefined) {
        logs.push({ file, log: stored });
        continue;
      }
      const before = identityOf(file);
      const log = await orRefusal(() => reduceLog(file, options, reduce, readers));
      if (Array.isArray(log)) {
        refused.set(file, log);
        continue;
      }
      logs.push({ file, log });
      const isWhole = isUnchanged(before, identityOf(file));
      if (!isWhole) hooks.report(logChanged(file));
      const canKeep = isWhole && log.isAlone && before !== undefined;
      const kept = canKeep ? store?.keep(file, log, before) : undefined;
      if (isWatched) await kept;
      keeping.push(kept);
    }
    const reasons = [...refused.values()].flat();
    if (logs.length === 0 && reasons.length > 0) throw new Refusal(reasons);
    reasons.forEach(hooks.report);
    const fromStore = job.logFiles.length - toRead.length;
    if (fromStore > 0) hooks.report(storeUsed(fromStore, toRead.length));
    return { logs, kept: Promise.all(keeping), leftOut: [...refused.keys()] };
  } finally {
    pool?.close();
  }
}

/** What a log is read with: what was said of it wins over what was said of all. */
const optionsFor = ({ readerOptions, logOptions }: PipelineJob, file: string): ReaderOptions => ({
  ...readerOptions,
  ...logOptions?.get(file),
});

/** A reduced log, or why it was refused; a failure of a plugin or of the command is thrown on: it is no fault of the log. */
async function orRefusal<T>(reduce: () => Promise<T>): Promise<T | Diagnostic[]> {
  try {
    return await reduce();
  } catch (cause) {
    const isOfLog =
      cause instanceof Refusal &&
      cause.status === 1 &&
      cause.diagnostics.every(({ code }) => !code.startsWith('plugin/'));
    if (!isOfLog) throw cause;
    return [...cause.diagnostics];
  }
}

/** Threads for the log plugins beside this one, which reads. */
function openLogPoolFor(job: PipelineJob, files: readonly string[], threads: Threads): LogPool | undefined {
  const count = threadsForLogs(job, files);
  if (count === 0) return undefined;
  const steps = job.pipeline.log.map((step) => stepData(step, job.sources));
  return openLogPool(steps, threads, count);
}

/** What a reduced log depends on besides its own bytes. */
function reductionOf(job: PipelineJob, file: string): unknown {
  const { pipeline } = job;
  const { now: _now, progress: _progress, fixes, ...options } = optionsFor(job, file);
  return {
    version: VERSION,
    options,
    fixes: fixes === undefined ? undefined : digestOf([fixes.time, fixes.lat, fixes.lon]),
    steps: [...pipeline.reader, ...pipeline.log].map(({ plugin, options: values }) => [plugin.name, values]),
  };
}

function digestOf(columns: readonly Float64Array[]): string {
  const hash = createHash('sha256');
  for (const column of columns) hash.update(column);
  return hash.digest('hex');
}

function openPoolFor(job: PipelineJob, threads: Threads): WaypointPool {
  const { waypoints, sources, keepInternals, patience } = job;
  return openWaypointPool(
    { steps: stepsOf(job), sources, waypoints, keepInternals },
    { workers: workersFor(job), patience },
    threads,
  );
}

/** Threads that take waypoints, with this one. */
const workersFor = ({ workers, waypoints }: PipelineJob): number =>
  Math.min(workers, Math.ceil(waypoints.length / WAYPOINTS_WORTH_A_WORKER));

/** The waypoint steps; pictures read fields that no table shows. */
const stepsOf = ({ pipeline, keepInternals }: PipelineJob): readonly Step<WaypointPlugin>[] =>
  keepInternals
    ? pipeline.waypoint.map((step) => ({ ...step, wanted: Object.keys(INTERNAL_FIELDS) }))
    : pipeline.waypoint;
