import { type Diagnostic, Refusal, type SoundingLog } from '../../shared/contract/index.ts';
import type { ReducedPart, ResolvedValues } from '../../shared/engine/index.ts';
import type { StepData } from './plugin-data.ts';
import { askInOrder, type Threads } from './threads/threads.ts';

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
  const workers = Array.from({ length: count }, () => {
    const thread = threads.take();
    const port = thread.begin('log', steps);
    return { thread, port, ...askInOrder<LogTask, LogAnswer>(thread, port) };
  });
  return {
    reduce(task) {
      const worker = workers.reduce((least, other) => (other.waiting() < least.waiting() ? other : least));
      if (worker.waiting() >= MAX_PARTS) return undefined;
      return { answer: worker.ask(task, buffersOf(task.part)).then(reducedIn) };
    },
    close() {
      for (const { thread, port } of workers) {
        port.close();
        threads.give(thread);
      }
    },
  };
}

function reducedIn(answer: LogAnswer): ReducedPart {
  if ('refused' in answer) throw new Refusal(answer.refused, answer.status);
  return answer.reduced;
}

/** Buffers to transfer without copying; shared memory needs no transfer. */
export function buffersOf(columns: object): ArrayBuffer[] {
  const buffers = Object.values(columns).flatMap((value) =>
    ArrayBuffer.isView(value) ? [value.buffer] : [],
  );
  return [...new Set(buffers)].filter((buffer): buffer is ArrayBuffer => buffer instanceof ArrayBuffer);
}
