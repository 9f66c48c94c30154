import { Worker } from 'node:worker_threads';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import type { Survey } from '../../shared/contract/soundings.ts';
import type { Waypoint } from '../../shared/contract/waypoint.ts';
import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';
import { pluginExited, pluginHung } from '../../shared/diagnostics/plugin.ts';
import type { IndexBuffers } from '../../shared/survey-index.ts';
import { createHeartbeat, watchHeartbeat } from './heartbeat.ts';
import type { StepData } from './plugin-data.ts';
import { workerUrl } from './worker-url.ts';

export interface WorkerSetup {
  readonly steps: readonly StepData[];
  readonly survey: Survey;
  readonly indexBuffers: IndexBuffers;
  readonly waypoints: readonly Waypoint[];
  readonly keepInternals: boolean;
  /** Memory of the worker's heartbeat. */
  readonly heartbeat: SharedArrayBuffer;
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
  readonly progress: (done: number) => void;
}

/** Waypoints handed to a worker at once: enough to hide messages, few enough to share the load. */
const CHUNK = 4;
/** Waypoints on which a plugin may hang or exit before it is not run at all any more. */
const MAX_FAILURES = 3;

interface Chunk {
  readonly from: number;
  readonly to: number;
}

/**
 * Runs the waypoint plugins on all waypoints over worker threads.
 *
 * The answer does not depend on the number of workers. A plugin that gives no answer within
 * `patience`, or ends its process, is stopped and named on that waypoint; the others go on.
 */
export async function runWaypointPool(
  setup: Omit<WorkerSetup, 'heartbeat'>,
  options: PoolOptions,
): Promise<EnrichedWaypoint[]> {
  const count = setup.waypoints.length;
  const results = new Array<EnrichedWaypoint>(count);
  const queue: Chunk[] = [];
  for (let from = 0; from < count; from += CHUNK) queue.push({ from, to: Math.min(from + CHUNK, count) });
  queue.reverse();
  const failures = new FailureBook(setup.steps);
  let done = 0;
  const onAnswer = ({ index, enriched }: PoolAnswer): void => {
    results[index] = enriched;
    options.progress(++done);
  };
  const lanes = Math.max(1, Math.min(options.workers, queue.length));
  await Promise.all(
    Array.from({ length: lanes }, async () => {
      while (queue.length > 0) {
        const left = await runOneWorker(setup, options.patience, queue, results, failures, onAnswer);
        if (left !== undefined) queue.push(left);
      }
    }),
  );
  return results;
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
  setup: Omit<WorkerSetup, 'heartbeat'>,
  patience: number,
  queue: Chunk[],
  results: readonly EnrichedWaypoint[],
  failures: FailureBook,
  onAnswer: (answer: PoolAnswer) => void,
): Promise<Chunk | undefined> {
  return new Promise((resolve, reject) => {
    const heartbeat = createHeartbeat();
    const workerData: WorkerSetup = { ...setup, heartbeat: heartbeat.buffer };
    const worker = new Worker(workerUrl('waypoint-worker'), { workerData, stdout: true });
    let chunk: Chunk | undefined;
    let finished = false;
    let error: unknown;
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
    worker.on('error', (cause) => {
      error = cause;
    });
    worker.on('exit', () => {
      stopWatch();
      if (finished) return resolve(undefined);
      if (error !== undefined || chunk === undefined)
        return reject(error ?? new Error('a worker ended before it began'));
      if (!hung) blame(pluginExited);
      resolve({ from: firstUndone(chunk, results), to: chunk.to });
    });
  });
}

function firstUndone({ from, to }: Chunk, results: readonly EnrichedWaypoint[]): number {
  let index = from;
  while (index < to && results[index] !== undefined) index++;
  return index;
}
