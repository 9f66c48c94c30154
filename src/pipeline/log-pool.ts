import { Worker } from 'node:worker_threads';
import type { SoundingLog } from '../../shared/contract/soundings.ts';
import { type Diagnostic, Refusal } from '../../shared/diagnostics/diagnostic.ts';
import type { StepData } from './plugin-data.ts';
import type { ReducedLog } from './run-logs.ts';
import { workerUrl } from './worker-url.ts';

/** A part of a log after its plugins, with what they said. */
export interface ReducedPart extends ReducedLog {
  readonly diagnostics: readonly Diagnostic[];
  /** Rows that the plugins were given. */
  readonly received: number;
}

export type LogAnswer = ReducedPart | { readonly refused: readonly Diagnostic[]; readonly status: 1 | 2 };

/** A part that was taken over, and its answer once it is there. */
export interface TakenPart {
  readonly answer: Promise<ReducedPart>;
}

/** Runs the log plugins on parts of logs in threads beside the one that reads. */
export interface LogPool {
  /**
   * Hands a part over; its columns cannot be used afterwards.
   *
   * @returns undefined when every thread has a part in hand and one waiting: do it yourself rather than wait.
   */
  reduce(part: SoundingLog): TakenPart | undefined;
  close(): Promise<void>;
}

/** Parts that a thread may have: one in hand, one waiting, so that it never runs dry. */
const MOST_PARTS = 2;

/** Starts the threads. The answers do not depend on how many there are. */
export function openLogPool(steps: readonly StepData[], threads: number): LogPool {
  const lanes = Array.from({ length: threads }, () => openLane(steps));
  return {
    reduce(part) {
      const lane = lanes.reduce((least, other) => (other.parts() < least.parts() ? other : least));
      return lane.parts() < MOST_PARTS ? { answer: lane.ask(part) } : undefined;
    },
    async close() {
      await Promise.all(lanes.map((lane) => lane.close()));
    },
  };
}

/** One thread, which answers in the order it was asked. */
interface Lane {
  /** Parts not answered yet. */
  parts(): number;
  ask(part: SoundingLog): Promise<ReducedPart>;
  close(): Promise<number>;
}

interface Waiting {
  readonly resolve: (answer: ReducedPart) => void;
  readonly reject: (cause: unknown) => void;
}

function openLane(steps: readonly StepData[]): Lane {
  const worker = new Worker(workerUrl('log-worker'), { workerData: steps });
  const waiting: Waiting[] = [];
  worker.on('message', (answer: LogAnswer) => {
    const first = waiting.shift();
    if ('refused' in answer) first?.reject(new Refusal(answer.refused, answer.status));
    else first?.resolve(answer);
  });
  worker.on('error', (cause) => {
    for (const { reject } of waiting.splice(0)) reject(cause);
  });
  return {
    parts: () => waiting.length,
    ask: (part) =>
      new Promise((resolve, reject) => {
        waiting.push({ resolve, reject });
        worker.postMessage(part, buffersOf(part));
      }),
    close: () => worker.terminate(),
  };
}

/** Memory of the columns, to be handed over without a copy; shared memory stays where it is. */
export function buffersOf(columns: object): ArrayBuffer[] {
  const buffers = Object.values(columns).flatMap((value) =>
    ArrayBuffer.isView(value) ? [value.buffer] : [],
  );
  return [...new Set(buffers)].filter((buffer): buffer is ArrayBuffer => buffer instanceof ArrayBuffer);
}
