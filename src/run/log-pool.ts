import { type Diagnostic, Refusal, type SoundingLog } from '../../shared/contract/index.ts';
import type { ReducedPart, ResolvedValues } from '../../shared/engine/index.ts';
import type { StepData } from './plugin-data.ts';
import type { Threads } from './threads/threads.ts';

/** What a thread is sent: a part, and options of its log in place of those of all. */
export interface LogTask {
  readonly part: SoundingLog;
  readonly own?: ResolvedValues;
}

/** What a thread answers for each part it is sent: the part after the log plugins, or why the log is refused. */
export type LogAnswer =
  | { readonly reduced: ReducedPart }
  | { readonly refused: readonly Diagnostic[]; readonly status: 1 | 2 };

/** A part passed to a thread, as a promise of its result. */
export interface AcceptedPart {
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
  reduce(task: LogTask): AcceptedPart | undefined;
  /** Gives the threads back. */
  close(): void;
}

/** Parts that a thread may hold: one in progress and one waiting, so that the thread never idles. */
const MAX_PARTS = 2;

/** Starts `count` threads. Results do not depend on their number. */
export function openLogPool(steps: readonly StepData[], threads: Threads, count: number): LogPool {
  const workers = Array.from({ length: count }, () => openWorker(steps, threads));
  return {
    reduce(task) {
      const worker = workers.reduce((least, other) => (other.waiting() < least.waiting() ? other : least));
      return worker.waiting() < MAX_PARTS ? { answer: worker.reduce(task) } : undefined;
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
  reduce(task: LogTask): Promise<ReducedPart>;
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
    reduce: (task) =>
      new Promise((resolve, reject) => {
        waiting.push({ resolve, reject });
        port.postMessage(task, buffersOf(task.part));
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
