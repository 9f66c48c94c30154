import { createHash } from 'node:crypto';
import type { Survey } from '../../shared/contract/index.ts';
import {
  type LogEntries,
  type LogEntry,
  optionsForInput,
  type Pipeline,
  reduceLogs,
  runStages,
  type StageHooks,
  type StagesResult,
  stepsFor,
} from '../../shared/engine/index.ts';
import { modelRounds } from '../../shared/lake/index.ts';
import { storeMessages as says } from '../../shared/text/index.ts';
import { identityOf, isUnchanged } from '../files/index.ts';
import { VERSION } from '../version.ts';
import { withLake } from './model-lake.ts';
import { openLog } from './open-log.ts';
import { type LogJob, optionsFor, readersFor, reduceLog, reducerFor } from './reduce-log.ts';
import { runWaypoints, type WaypointJob } from './run-waypoints.ts';
import { Pool } from './threads/pool.ts';

export interface PipelineJob extends LogJob, WaypointJob {
  readonly pipeline: Pipeline;
  readonly logFiles: readonly string[];
  /** A survey made earlier; when given, no logs are read and no survey plugins run. */
  readonly survey?: Survey;
  /** Number of threads that work at once; see `Pool`. */
  readonly workers: number;
  /** True to take logs and lake tiles from the lake store, and to store new ones there. */
  readonly useStore: boolean;
}

/**
 * Runs the stages from logs to survey to enriched waypoints, with threads and the lake store.
 *
 * @throws Refusal when an input is rejected as a whole.
 */
export async function runPipeline(job: PipelineJob, hooks: StageHooks): Promise<StagesResult> {
  const pool = new Pool(job.workers);
  let kept: Promise<unknown> | undefined;
  try {
    const result = await runStages(
      job,
      {
        async readLogs() {
          const { keeping, ...entries } = await readLogs(job, hooks);
          kept = Promise.all(keeping);
          return entries;
        },
        modelLake: (survey, progress) =>
          withLake(job, hooks.report, progress, (work) => work(modelRounds(survey)), pool),
        runWaypoints: (lake, progress) => runWaypoints(job, pool, lake, progress),
      },
      hooks,
    );
    await kept;
    return result;
  } finally {
    await pool.close();
  }
}

/** Returns whether a user's plugin runs before the waypoint stage. The pipeline then gets its own thread. */
export const isWatchedBefore = ({ reader, log, survey }: Pipeline): boolean =>
  [...reader, ...log, ...survey].some(({ isUserPlugin }) => isUserPlugin);

/** Takes logs from the store, or reads and reduces them. `keeping` holds a promise for each log to store. */
async function readLogs(
  job: PipelineJob,
  hooks: StageHooks,
): Promise<LogEntries & { readonly keeping: readonly Promise<unknown>[] }> {
  const { openLakeStore } = job.useStore ? await import('./store/lake-store.ts') : {};
  const store = openLakeStore?.((file) => reductionOf(job, file), hooks.report);
  const known = await Promise.all(job.logFiles.map((file) => store?.find(file)));
  const stored = new Map(
    job.logFiles.flatMap((file, at) => (known[at] === undefined ? [] : [[file, known[at]]])),
  );
  const readers = readersFor(job, openLog, hooks.enter);
  // With a user's plugin, storing is awaited: the plugin may modify the columns, or hang, which ends this
  // thread.
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
    const log = await reduceLog(file, options, reducerFor(job, file, hooks.enter), readers);
    const isWhole = isUnchanged(before, identityOf(file));
    if (!isWhole) hooks.report(says['log-changed']({ file }));
    const isKept = isWhole && log.isAlone && (!log.holdsFiles || HOLDS_FILES.test(file));
    if (!isKept || before === undefined || store === undefined) return log;
    const kept = store.keep(file, log, before);
    if (isWatched) await kept;
    keeping.push(kept);
    return log;
  };
  const entries = await reduceLogs(job.logFiles, readOne, hooks);
  if (stored.size > 0) {
    const used = job.logFiles.filter((file) => stored.has(file)).length;
    hooks.report(says.used(undefined, used, job.logFiles.length - used));
  }
  return { ...entries, keeping };
}

/** Returns what a reduced log depends on besides its own bytes. The present time is left out. */
function reductionOf(job: PipelineJob, file: string): unknown {
  const { pipeline, logOptions = [] } = job;
  const { now: _now, progress: _progress, fixes, ...options } = optionsFor(job, file);
  return {
    version: VERSION,
    options,
    fixes: fixes && digestOf([fixes.time, fixes.lat, fixes.lon, fixes.segment]),
    steps: [...pipeline.reader, ...stepsFor(pipeline.log, optionsForInput(logOptions, file))].map(
      ({ plugin, options: values }) => [plugin.name, values],
    ),
    inside: HOLDS_FILES.test(file)
      ? logOptions.map(({ pattern, values }) => [pattern, ...values])
      : undefined,
  };
}

/** Matches names of logs that may contain files. Options of the contained files affect the reduced log. */
const HOLDS_FILES = /\.(?:zip|gz|xls[xm])$/i;

function digestOf(columns: readonly (Float64Array | Int32Array)[]): string {
  const hash = createHash('sha256');
  for (const column of columns) hash.update(column);
  return hash.digest('hex');
}
