import { Worker } from 'node:worker_threads';
import type { SoundingLog } from '../../shared/contract/soundings.ts';
import { type Diagnostic, Refusal } from '../../shared/diagnostics/diagnostic.ts';
import type { StepData } from './plugin-data.ts';
import type { ReducedLog } from './run-logs.ts';
import { workerUrl } from './worker-url.ts';

/** A part of a log after its plugins, with what they said. */
export interface ReducedPart extends ReducedLog {
  readonly diagnostics: readonly Diagnostic[];
}

export type LogAnswer = ReducedPart | { readonly refused: readonly Diagnostic[]; readonly status: 1 | 2 };

/** A part that was taken over, and its answer once it is there. */
export interface TakenPart {
  readonly answer: Promise<ReducedPart>;
}

/** Runs the log plugins on parts of logs in threads beside the one that reads. */
export interface LogPool {
  /** Waits for a free thread, then hands the part over; its columns cannot be used afterwards. */
  reduce(part: SoundingLog): Promise<TakenPart>;
  close(): Promise<void>;
}

/** Starts the threads. The answers do not depend on how many there are. */
export function openLogPool(steps: readonly StepData[], threads: number): LogPool {
  const workers = Array.from(
    { length: threads },
    () => new Worker(workerUrl('log-worker'), { workerData: steps }),
  );
  const free = [...workers];
  const waiting: ((worker: Worker) => void)[] = [];
  const take = (): Promise<Worker> => {
    const worker = free.pop();
    return worker === undefined ? new Promise((resolve) => waiting.push(resolve)) : Promise.resolve(worker);
  };
  const giveBack = (worker: Worker): void => {
    const next = waiting.shift();
    if (next === undefined) free.push(worker);
    else next(worker);
  };
  return {
    async reduce(part) {
      const worker = await take();
      const answer = askWorker(worker, part);
      answer.then(
        () => giveBack(worker),
        () => giveBack(worker),
      );
      return { answer };
    },
    async close() {
      await Promise.all(workers.map((worker) => worker.terminate()));
    },
  };
}

function askWorker(worker: Worker, part: SoundingLog): Promise<ReducedPart> {
  return new Promise((resolve, reject) => {
    const done = (): void => {
      worker.off('message', onMessage);
      worker.off('error', onError);
    };
    const onMessage = (answer: LogAnswer): void => {
      done();
      if ('refused' in answer) reject(new Refusal(answer.refused, answer.status));
      else resolve(answer);
    };
    const onError = (cause: Error): void => {
      done();
      reject(cause);
    };
    worker.on('message', onMessage);
    worker.on('error', onError);
    worker.postMessage(part, buffersOf(part));
  });
}

/** Memory of the columns, to be handed over without a copy; shared memory stays where it is. */
export function buffersOf(columns: object): ArrayBuffer[] {
  const buffers = Object.values(columns).flatMap((value) =>
    ArrayBuffer.isView(value) ? [value.buffer] : [],
  );
  return [...new Set(buffers)].filter((buffer): buffer is ArrayBuffer => buffer instanceof ArrayBuffer);
}
