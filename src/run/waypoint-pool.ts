import { setImmediate } from 'node:timers/promises';
import type { MessagePort } from 'node:worker_threads';
import type {
  AnyWaypointPlugin,
  Diagnostic,
  EnrichedWaypoint,
  Waypoint,
} from '../../shared/contract/index.ts';
import type { LakeBuffers, Step } from '../../shared/engine/index.ts';
import { runWaypoint, withoutInternals } from '../../shared/engine/index.ts';
import { fromBuffers } from '../../shared/survey/index.ts';
import { pluginExited, pluginHung } from '../../shared/text/index.ts';
import { createHeartbeat, type Heartbeat, watchHeartbeat } from './heartbeat.ts';
import { type PluginSources, type StepData, stepData } from './plugin-data.ts';
import type { Thread, Threads } from './threads/threads.ts';

type PoolStep = Step<AnyWaypointPlugin>;

/** What a pool knows before the lake. */
export interface PoolSetup {
  readonly steps: readonly PoolStep[];
  readonly sources: PluginSources;
  readonly waypoints: readonly Waypoint[];
  readonly keepInternals: boolean;
}

/** What a thread is started with, before the lake is known. */
export interface LaneData extends Omit<PoolSetup, 'steps' | 'sources'> {
  readonly steps: readonly StepData[];
  readonly heartbeat: SharedArrayBuffer;
}

type Skip = ReadonlyMap<number, Diagnostic>;

/** Waypoints that a thread is asked for: `[from, to)`. */
export interface LaneRequest extends Chunk {
  /** Steps not to run, by waypoint. */
  readonly skip: ReadonlyMap<number, Skip>;
}

/** What it answers for each, in order; it is idle then. */
export type LaneAnswer = Omit<EnrichedWaypoint, 'waypoint'>;

export interface PoolOptions {
  /** Threads that work at once, with this one. */
  readonly workers: number;
  /** Longest time one plugin may take over one waypoint, s. */
  readonly patience: number;
}

/** Waypoints handed to a thread at once: enough to hide messages, few enough to share the load. */
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

/** Threads that make ready while the logs are still compared. */
export interface WaypointPool {
  run(lake: LakeBuffers, progress: (done: number) => void): Promise<EnrichedWaypoint[]>;
}

/**
 * Runs the waypoint plugins on all waypoints, in this thread and others.
 *
 * The answer does not depend on the number of threads. Plugins of the user never run in this one: one that gives
 * no answer within `patience`, or ends its process, is stopped and named on that waypoint; the others go on.
 */
export function openWaypointPool(setup: PoolSetup, options: PoolOptions, threads: Threads): WaypointPool {
  const isWatched = setup.steps.some(({ isOwn }) => isOwn);
  const queue = chunksOf(setup.waypoints.length, isWatched);
  const lanes = Math.min(
    queue.length,
    isWatched ? Math.max(1, options.workers) : Math.max(0, options.workers - 1),
  );
  const ready = Array.from({ length: lanes }, () => openLane(setup, threads));
  const close = ({ thread, port }: Lane): void => {
    port.close();
    // Where a plugin of the user ran, who knows what it has left behind.
    if (isWatched) void thread.end();
    else threads.give(thread);
  };
  return {
    async run(lake, progress) {
      const results = new Array<EnrichedWaypoint>(setup.waypoints.length);
      const failures = new FailureBook(setup.steps);
      let done = 0;
      const take = (index: number, { fields, diagnostics }: LaneAnswer): void => {
        results[index] = { waypoint: setup.waypoints[index], fields, diagnostics };
        progress(++done);
      };
      const runLane = async (): Promise<void> => {
        while (queue.length > 0) {
          const lane = ready.pop() ?? openLane(setup, threads);
          const left = await feedLane(lane, lake, options.patience, queue, failures, take);
          if (left === undefined) close(lane);
          else queue.push(left);
        }
      };
      const others = Array.from({ length: lanes }, runLane);
      await Promise.all(isWatched ? others : [...others, runHere(setup, lake, queue, take)]);
      ready.forEach(close);
      return results;
    },
  };
}

/** All waypoints in groups, the first last. */
function chunksOf(count: number, isWatched: boolean): Chunk[] {
  const size = count >= MANY_WAYPOINTS && !isWatched ? LARGE_CHUNK : CHUNK;
  const queue: Chunk[] = [];
  for (let from = 0; from < count; from += size) queue.push({ from, to: Math.min(from + size, count) });
  return queue.reverse();
}

/** Takes waypoints in this thread until the queue is empty. */
async function runHere(
  { steps, waypoints, keepInternals }: PoolSetup,
  { survey, index: buffers, unseen, lake: bottom }: LakeBuffers,
  queue: Chunk[],
  take: (index: number, answer: LaneAnswer) => void,
): Promise<void> {
  const lake = { survey, waypoints, index: fromBuffers(buffers), unseen, lake: bottom };
  for (let chunk = queue.pop(); chunk !== undefined; chunk = queue.pop()) {
    for (let index = chunk.from; index < chunk.to; index++) {
      const enriched = runWaypoint(waypoints[index], lake, steps);
      take(index, keepInternals ? enriched : withoutInternals(enriched));
      // Threads that are idle get their next in between.
      await setImmediate();
    }
  }
}

interface Lane {
  readonly thread: Thread;
  readonly port: MessagePort;
  readonly heartbeat: Heartbeat;
}

function openLane({ steps, sources, waypoints, keepInternals }: PoolSetup, threads: Threads): Lane {
  const thread = threads.take();
  const heartbeat = createHeartbeat();
  const port = thread.begin('waypoint', {
    steps: steps.map((step) => stepData(step, sources)),
    waypoints,
    keepInternals,
    heartbeat: heartbeat.buffer,
  } satisfies LaneData);
  return { thread, port, heartbeat };
}

/** Which steps must not run on which waypoints, and why. */
class FailureBook {
  readonly #steps: readonly PoolStep[];
  readonly #byWaypoint = new Map<number, Map<number, Diagnostic>>();
  readonly #counts = new Map<number, number>();
  readonly #banned = new Map<number, Diagnostic>();

  constructor(steps: readonly PoolStep[]) {
    this.#steps = steps;
  }

  add(waypoint: number, step: number, why: (plugin: string) => Diagnostic): void {
    const diagnostic = why(this.#steps[step].plugin.name);
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

/** Feeds one thread until the queue is empty or it had to be stopped; returns what it left undone. */
function feedLane(
  { thread, port, heartbeat }: Lane,
  lake: LakeBuffers,
  patience: number,
  queue: Chunk[],
  failures: FailureBook,
  take: (index: number, answer: LaneAnswer) => void,
): Promise<Chunk | undefined> {
  return new Promise((resolve, reject) => {
    let chunk: Chunk | undefined;
    const blame = (why: (plugin: string) => Diagnostic): void => {
      const at = heartbeat.current();
      if (at !== undefined) failures.add(at.waypoint, at.step, why);
    };
    let hung = false;
    const stopWatch = watchHeartbeat(heartbeat, patience, () => {
      hung = true;
      blame((plugin) => pluginHung(plugin, patience, 'fields'));
      void thread.end();
    });
    port.on('message', (answers: readonly LaneAnswer[]) => {
      for (const [i, answer] of answers.entries()) take((chunk?.from ?? 0) + i, answer);
      chunk = queue.pop();
      if (chunk !== undefined)
        return port.postMessage({ ...chunk, skip: failures.skipsOf(chunk) } satisfies LaneRequest);
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
