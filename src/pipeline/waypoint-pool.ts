import { Worker } from 'node:worker_threads';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import type { Survey } from '../../shared/contract/soundings.ts';
import type { Waypoint } from '../../shared/contract/waypoint.ts';
import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';
import { pluginExited, pluginHung } from '../../shared/diagnostics/plugin.ts';
import type { IndexBuffers } from '../../shared/survey-index.ts';
import { programFile } from '../program-files.ts';
import { createHeartbeat, type Heartbeat, watchHeartbeat } from './heartbeat.ts';
import type { StepData } from './plugin-data.ts';

/** What a worker is started with, before the lake is known. */
export interface WorkerSetup {
  readonly steps: readonly StepData[];
  readonly waypoints: readonly Waypoint[];
  readonly keepInternals: boolean;
  /** Memory of the worker's heartbeat. */
  readonly heartbeat: SharedArrayBuffer;
}

/** The lake, sent once. */
export interface LakeBuffers {
  readonly survey: Survey;
  readonly indexBuffers: IndexBuffers;
}

type Skip = ReadonlyMap<number, Diagnostic>;

export interface PoolRequest {
  readonly from: number;
  readonly to: number;
  /** Steps not to run, by waypoint. */
  readonly skip: ReadonlyMap<number, Skip>;
}

export interface PoolAnswer {
  readonly index: number;
  readonly enriched: EnrichedWaypoint;
}

export interface PoolOptions {
  readonly workers: number;
  /** Longest time one plugin may take over one waypoint, s. */
  readonly patience: number;
}

export type PoolSetup = Omit<WorkerSetup, 'heartbeat'>;

/** Waypoints handed to a worker at once: enough to hide messages, few enough to share the load. */
const CHUNK = 4;
/** The same where there are so many that the last ones hardly matter; never with plugins that are watched. */
const LARGE_CHUNK = 16;
const MANY_WAYPOINTS = 1000;
/** Waypoints on which a plugin may hang or exit before it is not run at all any more. */
const MAX_FAILURES = 3;

interface Chunk {
  readonly from: number;
  readonly to: number;
}

/** Worker threads, started while the logs are still compared, so that they are ready when the lake is. */
export interface WaypointPool {
  run(lake: LakeBuffers, progress: (done: number) => void): Promise<EnrichedWaypoint[]>;
  /** Ends threads that were not used. */
  close(): Promise<void>;
}

/**
 * Runs the waypoint plugins on all waypoints over worker threads.
 *
 * The answer does not depend on the number of workers. A plugin that gives no answer within
 * `patience`, or ends its process, is stopped and named on that waypoint; the others go on.
 */
export function openWaypointPool(setup: PoolSetup, options: PoolOptions): WaypointPool {
  const count = setup.waypoints.length;
  const queue = chunksOf(count, setup.steps);
  const lanes = Math.max(1, Math.min(options.workers, queue.length));
  const ready = Array.from({ length: lanes }, () => startWorker(setup));
  return {
    async run(lake, progress) {
      const results = new Array<EnrichedWaypoint>(count);
      const failures = new FailureBook(setup.steps);
      let done = 0;
      const onAnswer = ({ index, enriched }: PoolAnswer): void => {
        results[index] = enriched;
        progress(++done);
      };
      const runLane = async (): Promise<void> => {
        while (queue.length > 0) {
          const started = ready.pop() ?? startWorker(setup);
          const left = await runOneWorker(
            started,
            lake,
            options.patience,
            queue,
            results,
            failures,
            onAnswer,
          );
          if (left !== undefined) queue.push(left);
        }
      };
      await Promise.all(Array.from({ length: lanes }, runLane));
      return results;
    },
    async close() {
      await Promise.all(ready.splice(0).map(({ worker }) => worker.terminate()));
    },
  };
}

/** All waypoints in groups, the first last. */
function chunksOf(count: number, steps: readonly StepData[]): Chunk[] {
  const isLarge = count >= MANY_WAYPOINTS && !steps.some(({ isOwn }) => isOwn);
  const size = isLarge ? LARGE_CHUNK : CHUNK;
  const queue: Chunk[] = [];
  for (let from = 0; from < count; from += size) queue.push({ from, to: Math.min(from + size, count) });
  return queue.reverse();
}

interface StartedWorker {
  readonly worker: Worker;
  readonly heartbeat: Heartbeat;
  /** What went wrong before anybody listened. */
  error?: unknown;
  hasEnded: boolean;
}

function startWorker(setup: PoolSetup): StartedWorker {
  const heartbeat = createHeartbeat();
  const workerData: WorkerSetup = { ...setup, heartbeat: heartbeat.buffer };
  const worker = new Worker(programFile('pipeline/waypoint-worker'), { workerData, stdout: true });
  const started: StartedWorker = { worker, heartbeat, hasEnded: false };
  worker.on('error', (cause) => {
    started.error = cause;
  });
  worker.on('exit', () => {
    started.hasEnded = true;
  });
  return started;
}

/** Which steps must not run on which waypoints, and why. */
class FailureBook {
  readonly #steps: readonly StepData[];
  readonly #byWaypoint = new Map<number, Map<number, Diagnostic>>();
  readonly #counts = new Map<number, number>();
  readonly #banned = new Map<number, Diagnostic>();

  constructor(steps: readonly StepData[]) {
    this.#steps = steps;
  }

  add(waypoint: number, step: number, why: (plugin: string) => Diagnostic): void {
    const diagnostic = why(this.#steps[step].name);
    const skips = this.#byWaypoint.get(waypoint) ?? new Map<number, Diagnostic>();
    skips.set(step, diagnostic);
    this.#byWaypoint.set(waypoint, skips);
    const count = (this.#counts.get(step) ?? 0) + 1;
    this.#counts.set(step, count);
    if (count >= MAX_FAILURES) this.#banned.set(step, diagnostic);
  }

  skipsOf({ from, to }: Chunk): Map<number, Skip> {
    const skips = new Map<number, Skip>();
    for (let index = from; index < to; index++) {
      const merged = new Map([...this.#banned, ...(this.#byWaypoint.get(index) ?? [])]);
      if (merged.size > 0) skips.set(index, merged);
    }
    return skips;
  }
}

/** Feeds one worker until the queue is empty or it had to be stopped; returns what it left undone. */
function runOneWorker(
  started: StartedWorker,
  lake: LakeBuffers,
  patience: number,
  queue: Chunk[],
  results: readonly EnrichedWaypoint[],
  failures: FailureBook,
  onAnswer: (answer: PoolAnswer) => void,
): Promise<Chunk | undefined> {
  return new Promise((resolve, reject) => {
    const { worker, heartbeat } = started;
    let chunk: Chunk | undefined;
    let finished = false;
    const blame = (why: (plugin: string) => Diagnostic): void => {
      const at = heartbeat.current();
      if (at !== undefined) failures.add(at.waypoint, at.step, why);
    };
    let hung = false;
    const stopWatch = watchHeartbeat(heartbeat, patience, () => {
      hung = true;
      blame((plugin) => pluginHung(plugin, patience));
      void worker.terminate();
    });
    worker.on('message', (message: PoolAnswer | 'idle') => {
      if (message !== 'idle') return onAnswer(message);
      chunk = queue.pop();
      finished = chunk === undefined;
      if (chunk === undefined) void worker.terminate();
      else worker.postMessage({ ...chunk, skip: failures.skipsOf(chunk) } satisfies PoolRequest);
    });
    const onExit = (): void => {
      const { error } = started;
      stopWatch();
      if (finished) resolve(undefined);
      else if (error !== undefined || chunk === undefined) {
        reject(error ?? new Error('a worker ended before it began'));
      } else {
        if (!hung) blame(pluginExited);
        resolve({ from: firstUndone(chunk, results), to: chunk.to });
      }
    };
    if (started.hasEnded) return onExit();
    worker.on('exit', onExit);
    worker.postMessage(lake);
  });
}

function firstUndone({ from, to }: Chunk, results: readonly EnrichedWaypoint[]): number {
  let index = from;
  while (index < to && results[index] !== undefined) index++;
  return index;
}
