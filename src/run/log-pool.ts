import { type Diagnostic, Refusal, type SoundingLog } from '../../shared/contract/index.ts';
import type { ReducedPart } from '../../shared/engine/index.ts';
import type { StepData } from './plugin-data.ts';
import type { Threads } from './threads/threads.ts';

/** What a thread answers for each part it is sent: the part after the log plugins, or why the log is refused. */
export type LogAnswer =
  | { readonly reduced: ReducedPart }
  | { readonly refused: readonly Diagnostic[]; readonly status: 1 | 2 };

/** A part that was taken over, and its answer once it is there. */
export interface TakenPart {
  readonly answer: Promise<ReducedPart>;
}

/** Runs the log plugins in threads beside this one, which reads. */
export interface LogPool {
  /**
   * Hands a part over; its columns cannot be used afterwards.
   *
   * @returns undefined when every thread has a part in hand and one waiting: do it yourself rather than wait.
   */
  reduce(part: SoundingLog): TakenPart | undefined;
  /** Gives the threads back. */
  close(): void;
}

/** Parts that a thread may have: one in hand, one waiting, so that it never runs dry. */
const MOST_PARTS = 2;

/** Takes so many threads. The answers do not depend on how many there are. */
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

/** One thread, which answers in the order it was asked. */
interface Worker {
  /** Parts not answered yet. */
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

/** Memory of the columns, to be handed over without a copy; shared memory stays where it is. */
export function buffersOf(columns: object): ArrayBuffer[] {
  const buffers = Object.values(columns).flatMap((value) =>
    ArrayBuffer.isView(value) ? [value.buffer] : [],
  );
  return [...new Set(buffers)].filter((buffer): buffer is ArrayBuffer => buffer instanceof ArrayBuffer);
}
