import { createHash } from 'node:crypto';
import type { Survey, Waypoint } from '../../shared/contract/index.ts';
import {
  type LogEntries,
  type LogEntry,
  type LogOptions,
  optionsForInput,
  optionsInLog,
  type Pipeline,
  reduceLogs,
  runStages,
  type StageHooks,
  type StagesResult,
  stepsFor,
  waypointSteps,
} from '../../shared/engine/index.ts';
import { modelRounds } from '../../shared/lake/index.ts';
import { logChanged, storeUsed } from '../../shared/text/index.ts';
import { identityOf, isUnchanged } from '../files/index.ts';
import type { ReaderOptions } from '../formats/csv/index.ts';
import { VERSION } from '../version.ts';
import { withLakePool } from './lake-pool.ts';
import { type LogPool, openLogPool } from './log-pool.ts';
import { openLog } from './open-log.ts';
import { type PluginSources, stepData } from './plugin-data.ts';
import type { LogReaders } from './reading/read-log.ts';
import { type ReducePart, reduceInline, reduceLog } from './reduce-log.ts';
import { threadsForLogs } from './run-threads.ts';
import type { Threads } from './threads/threads.ts';
import { openWaypointPool, type WaypointPool } from './waypoint-pool.ts';

/** Everything the pipeline needs, read and checked. */
export interface PipelineJob {
  readonly pipeline: Pipeline;
  readonly sources: PluginSources;
  readonly logFiles: readonly string[];
  readonly readerOptions: ReaderOptions;
  /** Options of single logs and of files inside them. */
  readonly logOptions?: readonly LogOptions[];
  readonly waypoints: readonly Waypoint[];
  /** Survey from an earlier run; when given, no logs are read. */
  readonly survey?: Survey;
  readonly workers: number;
  /** Longest time one plugin may take over one waypoint, s. */
  readonly patience: number;
  /** True to take unchanged logs from the lake store and to keep new ones there. */
  readonly useStore: boolean;
  /** True to keep internal fields, such as grids and paths, for figures. */
  readonly keepInternals: boolean;
}

/**
 * Waypoints per worker below which another worker costs more than it saves.
 *
 * A thread takes about 0.3 s to load and warm up; a waypoint takes about 10 ms.
 */
const WAYPOINTS_WORTH_A_WORKER = 40;

/**
 * Runs all stages, from logs to survey to enriched waypoints, with threads and the lake store.
 *
 * @param threads From `withThreads`.
 * @throws Refusal when an input is rejected as a whole.
 */
export async function runPipeline(
  job: PipelineJob,
  threads: Threads,
  hooks: StageHooks,
): Promise<StagesResult> {
  // When no threads are used for reading, the waypoint threads start now and load their modules meanwhile.
  const early = threadsForLogs(job, job.logFiles) === 0 ? openPoolFor(job, threads) : undefined;
  let kept: Promise<unknown> | undefined;
  const result = await runStages(
    job,
    {
      async readLogs() {
        const { keeping, ...entries } = await readLogs(job, threads, hooks);
        kept = Promise.all(keeping);
        return entries;
      },
      modelLake: (survey, progress) =>
        withLakePool(job, threads, hooks.report, progress, (work) => work(modelRounds(survey))),
      runWaypoints: (lake, progress) => (early ?? openPoolFor(job, threads)).run(lake, progress),
    },
    hooks,
  );
  await kept;
  return result;
}

/** True when a user's plugin runs before the waypoint stage; the whole pipeline is then watched. */
export const isWatchedBefore = ({ reader, log, survey }: Pipeline): boolean =>
  [...reader, ...log, ...survey].some(({ isUserPlugin }) => isUserPlugin);

/** All logs, reduced; unchanged ones come from the store. `keeping` resolves when new ones have been stored. */
async function readLogs(
  job: PipelineJob,
  threads: Threads,
  hooks: StageHooks,
): Promise<LogEntries & { readonly keeping: readonly Promise<unknown>[] }> {
  const { openLakeStore } = job.useStore ? await import('./store/lake-store.ts') : {};
  const store = openLakeStore?.((file) => reductionOf(job, file), hooks.report);
  const known = await Promise.all(job.logFiles.map((file) => store?.find(file)));
  const stored = new Map(
    job.logFiles.flatMap((file, at) => (known[at] === undefined ? [] : [[file, known[at]]])),
  );
  const toRead = job.logFiles.filter((file) => !stored.has(file));
  const pool = openLogPoolFor(job, toRead, threads);
  const reduceFor = (file: string): ReducePart => {
    const optionsOf = (input: string) => optionsInLog(job.logOptions, file, input);
    const here = reduceInline(job.pipeline.log, hooks.enter, optionsOf);
    return async (part) => pool?.reduce({ part, own: optionsOf(part.file) }) ?? here(part);
  };
  const readers = { ...readersFor(job), enter: hooks.enter };
  // A user's plugin may modify columns that are about to be stored, and its thread may be terminated, so storing
  // is awaited.
  const isWatched = isWatchedBefore(job.pipeline);
  const keeping: Promise<void>[] = [];
  const readOne = async (file: string, progress: (share: number) => void): Promise<LogEntry> => {
    const found = stored.get(file);
    if (found !== undefined) return found;
    const options = {
      ...optionsFor(job, file),
      progress: (read: number, all: number) => progress(read / all),
    };
    const before = identityOf(file);
    const log = await reduceLog(file, options, reduceFor(file), readers);
    const isWhole = isUnchanged(before, identityOf(file));
    if (!isWhole) hooks.report(logChanged(file));
    const isKept = isWhole && log.isAlone && (!log.holdsFiles || HOLDS_FILES.test(file));
    if (!isKept || before === undefined || store === undefined) return log;
    const kept = store.keep(file, log, before);
    if (isWatched) await kept;
    keeping.push(kept);
    return log;
  };
  try {
    const entries = await reduceLogs(job.logFiles, readOne, hooks);
    if (stored.size > 0) hooks.report(storeUsed(job.logFiles.length - toRead.length, toRead.length));
    return { ...entries, keeping };
  } finally {
    pool?.close();
  }
}

/** Reader options of a log; options for that log win over those for all logs. */
export const optionsFor = ({ readerOptions, logOptions }: PipelineJob, file: string): ReaderOptions => ({
  ...readerOptions,
  ...optionsForInput(logOptions, file)?.get('reader'),
});

export const readersFor = ({ pipeline, waypoints, logOptions }: PipelineJob): LogReaders => ({
  steps: pipeline.reader,
  places: waypoints,
  optionsOf: (input) => optionsForInput(logOptions, input)?.get('reader'),
  open: openLog,
});

/** Threads for the log plugins, while this thread reads. */
function openLogPoolFor(job: PipelineJob, files: readonly string[], threads: Threads): LogPool | undefined {
  const count = threadsForLogs(job, files);
  if (count === 0) return undefined;
  const steps = job.pipeline.log.map((step) => stepData(step, job.sources));
  return openLogPool(steps, threads, count);
}

/** Everything a reduced log depends on in addition to its own bytes. */
function reductionOf(job: PipelineJob, file: string): unknown {
  const { pipeline, logOptions = [] } = job;
  const { now: _now, progress: _progress, fixes, ...options } = optionsFor(job, file);
  return {
    version: VERSION,
    options,
    fixes: fixes === undefined ? undefined : digestOf([fixes.time, fixes.lat, fixes.lon]),
    steps: [...pipeline.reader, ...stepsFor(pipeline.log, optionsForInput(logOptions, file))].map(
      ({ plugin, options: values }) => [plugin.name, values],
    ),
    inside: HOLDS_FILES.test(file)
      ? logOptions.map(({ pattern, values }) => [pattern, ...values])
      : undefined,
  };
}

/** Names of logs that hold files, whose options then count too. */
const HOLDS_FILES = /\.(?:zip|gz|xls[xm])$/i;

function digestOf(columns: readonly Float64Array[]): string {
  const hash = createHash('sha256');
  for (const column of columns) hash.update(column);
  return hash.digest('hex');
}

function openPoolFor(job: PipelineJob, threads: Threads): WaypointPool {
  const steps = waypointSteps(job.pipeline, job.keepInternals);
  return openWaypointPool({ ...job, steps, workers: workersFor(job) }, threads);
}

/** Number of threads that process waypoints, including this one. */
const workersFor = ({ workers, waypoints }: PipelineJob): number =>
  Math.min(workers, Math.ceil(waypoints.length / WAYPOINTS_WORTH_A_WORKER));
