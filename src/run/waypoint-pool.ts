import { setImmediate } from 'node:timers/promises';
import type { MessagePort } from 'node:worker_threads';
import type {
  AnyWaypointPlugin,
  Diagnostic,
  EnrichedWaypoint,
  Waypoint,
} from '../../shared/contract/index.ts';
import {
  type LakeBuffers,
  lakeOf,
  runWaypoint,
  type Step,
  withoutInternals,
} from '../../shared/engine/index.ts';
import { pluginExited, pluginHung } from '../../shared/text/index.ts';
import { createHeartbeat, type Heartbeat, watchHeartbeat } from './heartbeat.ts';
import { type PluginSources, type StepData, stepData } from './plugin-data.ts';
import type { Thread, Threads } from './threads/threads.ts';

type PoolStep = Step<AnyWaypointPlugin>;

/** What a pool needs before the lake's soundings are ready. */
export interface PoolSetup {
  readonly steps: readonly PoolStep[];
  readonly sources: PluginSources;
  readonly waypoints: readonly Waypoint[];
  readonly keepInternals: boolean;
  /** Number of threads that work at once, including this one. */
  readonly workers: number;
  /** Longest time one plugin may take over one waypoint, s. */
  readonly patience: number;
}

/** What a thread is started with, before the lake's soundings are ready. */
export interface WorkerSetup extends Pick<PoolSetup, 'waypoints' | 'keepInternals'> {
  readonly steps: readonly StepData[];
  readonly heartbeat: SharedArrayBuffer;
}

type Skip = ReadonlyMap<number, Diagnostic>;

/** Waypoints `[from, to)` requested from a thread. */
export interface WorkerRequest extends Chunk {
  /** Steps to skip, by waypoint. */
  readonly skip: ReadonlyMap<number, Skip>;
}

/** A thread's answer for one waypoint; all answers to a request are sent together, in order. */
export type WorkerAnswer = Omit<EnrichedWaypoint, 'waypoint'>;

/** Waypoints per request: enough to hide the cost of messages, few enough to balance the load. */
const CHUNK = 4;
/**
 * Waypoints per request when there are so many that an uneven end hardly matters; not used with watched plugins.
 */
const LARGE_CHUNK = 16;
const MANY_WAYPOINTS = 1000;
/** Number of waypoints on which a plugin may hang or exit before it is no longer run at all. */
const MAX_FAILURES = 3;

interface Chunk {
  readonly from: number;
  readonly to: number;
}

/** Threads that get ready while the logs are still being compared. */
export interface WaypointPool {
  run(lake: LakeBuffers, progress: (done: number) => void): Promise<EnrichedWaypoint[]>;
}

/**
 * Runs the waypoint plugins on all waypoints, in this thread and others.
 *
 * The results do not depend on the number of threads. A user's plugins never run in this thread: one that does
 * not answer within `patience`, or exits, is stopped and named on that waypoint, and the other waypoints
 * continue.
 */
export function openWaypointPool(setup: PoolSetup, threads: Threads): WaypointPool {
  const isWatched = setup.steps.some(({ isUserPlugin }) => isUserPlugin);
  const queue = chunksOf(setup.waypoints.length, isWatched);
  // This thread works too, unless a plugin must be watched.
  const others = isWatched ? Math.max(1, setup.workers) : Math.max(0, setup.workers - 1);
  const poolSize = Math.min(queue.length, others);
  const ready = Array.from({ length: poolSize }, () => openWorker(setup, threads));
  const close = ({ thread, port }: PoolWorker): void => {
    port.close();
    // A user's plugin may have left anything behind in its thread, so the thread is not reused.
    if (isWatched) void thread.end();
    else threads.give(thread);
  };
  return {
    async run(lake, progress) {
      const results = new Array<EnrichedWaypoint>(setup.waypoints.length);
      const failures: Failure[] = [];
      let done = 0;
      const take = (index: number, { fields, diagnostics }: WorkerAnswer): void => {
        results[index] = { waypoint: setup.waypoints[index], fields, diagnostics };
        progress(++done);
      };
      const runWorker = async (): Promise<void> => {
        while (queue.length > 0) {
          const worker = ready.pop() ?? openWorker(setup, threads);
          const left = await feedWorker(worker, setup, lake, queue, failures, take);
          if (left === undefined) close(worker);
          else queue.push(left);
        }
      };
      const running = Array.from({ length: poolSize }, runWorker);
      await Promise.all(isWatched ? running : [...running, runInline(setup, lake, queue, take)]);
      ready.forEach(close);
      return results;
    },
  };
}

/** All waypoints in groups, in reverse order, since the queue is emptied from its end. */
function chunksOf(count: number, isWatched: boolean): Chunk[] {
  const size = count >= MANY_WAYPOINTS && !isWatched ? LARGE_CHUNK : CHUNK;
  const queue: Chunk[] = [];
  for (let from = 0; from < count; from += size) queue.push({ from, to: Math.min(from + size, count) });
  return queue.reverse();
}

/** Processes waypoints in this thread until the queue is empty. */
async function runInline(
  { steps, waypoints, keepInternals }: PoolSetup,
  buffers: LakeBuffers,
  queue: Chunk[],
  take: (index: number, answer: WorkerAnswer) => void,
): Promise<void> {
  const lake = lakeOf(buffers, waypoints, false);
  for (let chunk = queue.pop(); chunk !== undefined; chunk = queue.pop()) {
    for (let index = chunk.from; index < chunk.to; index++) {
      const enriched = runWaypoint(waypoints[index], lake, steps);
      take(index, keepInternals ? enriched : withoutInternals(enriched));
      // Lets messages through, so that idle threads get their next waypoints.
      await setImmediate();
    }
  }
}

interface PoolWorker {
  readonly thread: Thread;
  readonly port: MessagePort;
  readonly heartbeat: Heartbeat;
}

function openWorker({ steps, sources, waypoints, keepInternals }: PoolSetup, threads: Threads): PoolWorker {
  const thread = threads.take();
  const heartbeat = createHeartbeat();
  const port = thread.begin('waypoint', {
    steps: steps.map((step) => stepData(step, sources)),
    waypoints,
    keepInternals,
    heartbeat: heartbeat.buffer,
  } satisfies WorkerSetup);
  return { thread, port, heartbeat };
}

/** A step that hung or ended its thread on a waypoint. */
interface Failure {
  readonly waypoint: number;
  readonly step: number;
  readonly diagnostic: Diagnostic;
}

/** Steps that must not run, by waypoint: those that failed on it, and those that failed too often. */
function skipsOf(failures: readonly Failure[], { from, to }: Chunk): Map<number, Skip> {
  const skips = new Map<number, Skip>();
  const banned = failures.filter(
    ({ step }) => failures.filter((other) => other.step === step).length >= MAX_FAILURES,
  );
  for (let index = from; index < to; index++) {
    const own = failures.filter(({ waypoint }) => waypoint === index);
    const skip = new Map([...banned, ...own].map(({ step, diagnostic }) => [step, diagnostic]));
    if (skip.size > 0) skips.set(index, skip);
  }
  return skips;
}

/** Feeds one thread until the queue is empty or the thread is stopped; returns the waypoints left undone. */
function feedWorker(
  { thread, port, heartbeat }: PoolWorker,
  { steps, patience }: PoolSetup,
  lake: LakeBuffers,
  queue: Chunk[],
  failures: Failure[],
  take: (index: number, answer: WorkerAnswer) => void,
): Promise<Chunk | undefined> {
  return new Promise((resolve, reject) => {
    let chunk: Chunk | undefined;
    const blame = (why: (plugin: string) => Diagnostic): void => {
      const at = heartbeat.current();
      if (at !== undefined) failures.push({ ...at, diagnostic: why(steps[at.step].plugin.name) });
    };
    let hung = false;
    const stopWatch = watchHeartbeat(heartbeat, patience, () => {
      hung = true;
      blame((plugin) => pluginHung(plugin, patience, 'fields'));
      void thread.end();
    });
    port.on('message', (answers: readonly WorkerAnswer[]) => {
      for (const [i, answer] of answers.entries()) take((chunk?.from ?? 0) + i, answer);
      chunk = queue.pop();
      if (chunk !== undefined)
        return port.postMessage({ ...chunk, skip: skipsOf(failures, chunk) } satisfies WorkerRequest);
      stopWatch();
      resolve(undefined);
    });
    thread.ended.then((cause) => {
      stopWatch();
      port.removeAllListeners('message');
      if (cause !== undefined || chunk === undefined)
        return reject(cause ?? new Error('a thread ended before it began'));
      if (!hung) blame((plugin) => pluginExited(plugin, 'fields'));
      resolve(chunk);
    });
    port.postMessage(lake);
  });
}
