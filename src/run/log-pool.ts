import { type Diagnostic, Refusal, type SoundingLog } from '../../shared/contract/index.ts';
import type { ReducedPart } from '../../shared/engine/index.ts';
import type { StepData } from './plugin-data.ts';
import type { Threads } from './threads/threads.ts';

/** A thread's answer for each part: the part after the log plugins, or why the log is refused. */
export type LogAnswer =
  | { readonly reduced: ReducedPart }
  | { readonly refused: readonly Diagnostic[]; readonly status: 1 | 2 };

/** A part passed to a thread, as a promise of its result. */
export interface TakenPart {
  readonly answer: Promise<ReducedPart>;
}

/** Runs the log plugins in threads while this thread reads. */
export interface LogPool {
  /**
   * Passes a part to a thread; its columns are transferred and cannot be used afterward.
   *
   * @returns undefined when every thread has one part in progress and one waiting: process the part in this
   *   thread instead.
   */
  reduce(part: SoundingLog): TakenPart | undefined;
  /** Returns the threads to the pool. */
  close(): void;
}

/** Parts that a thread may hold: one in progress and one waiting, so that the thread never idles. */
const MOST_PARTS = 2;

/** Starts `count` threads. Results do not depend on their number. */
export function openLogPool(steps: readonly StepData[], threads: Threads, count: number): LogPool {
  const workers = Array.from({ length: count }, () => openWorker(steps, threads));
  return {
    reduce(part) {
      const worker = workers.reduce((least, other) => (other.waiting() < least.waiting() ? other : least));
      return worker.waiting() < MOST_PARTS ? { answer: worker.reduce(part) } : undefined;
    },
    close() {
      for (const worker of workers) worker.close();
    },
  };
}

/** One thread; it answers in the order of the requests. */
interface Worker {
  /** Number of parts not answered yet. */
  waiting(): number;
  reduce(part: SoundingLog): Promise<ReducedPart>;
  close(): void;
}

interface Waiting {
  readonly resolve: (reduced: ReducedPart) => void;
  readonly reject: (cause: unknown) => void;
}

function openWorker(steps: readonly StepData[], threads: Threads): Worker {
  const thread = threads.take();
  const port = thread.begin('log', steps);
  const waiting: Waiting[] = [];
  port.on('message', (answer: LogAnswer) => {
    const first = waiting.shift();
    if ('refused' in answer) first?.reject(new Refusal(answer.refused, answer.status));
    else first?.resolve(answer.reduced);
  });
  thread.ended.then((cause) => {
    for (const { reject } of waiting.splice(0))
      reject(cause ?? new Error('a thread ended before it answered'));
  });
  return {
    waiting: () => waiting.length,
    reduce: (part) =>
      new Promise((resolve, reject) => {
        waiting.push({ resolve, reject });
        port.postMessage(part, buffersOf(part));
      }),
    close() {
      port.close();
      threads.give(thread);
    },
  };
}

/** Buffers to transfer without copying; shared memory needs no transfer. */
export function buffersOf(columns: object): ArrayBuffer[] {
  const buffers = Object.values(columns).flatMap((value) =>
    ArrayBuffer.isView(value) ? [value.buffer] : [],
  );
  return [...new Set(buffers)].filter((buffer): buffer is ArrayBuffer => buffer instanceof ArrayBuffer);
}
