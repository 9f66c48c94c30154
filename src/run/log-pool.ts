import { type Diagnostic, Refusal } from '../../shared/contract/diagnostic.ts';
import type { SoundingLog } from '../../shared/contract/soundings.ts';
import type { StepData } from './plugin-data.ts';
import type { RangeJob, ReducedRange } from './reduce-ranges.ts';
import type { ReducedLog } from './run-logs.ts';
import type { Threads } from './threads/threads.ts';

/** A part of a log after its plugins, with what they said. */
export interface ReducedPart extends ReducedLog {
  readonly diagnostics: readonly Diagnostic[];
  /** Rows that the plugins were given. */
  readonly received: number;
}

/** What a thread is asked: the log plugins on a part, or ranges of a log as long as there are any. */
export type LogRequest = { readonly part: SoundingLog } | { readonly ranges: RangeJob };

/** What it answers: the part; each range, and then that there are no more; or why the log is refused. */
export type LogAnswer =
  | { readonly reduced: ReducedPart }
  | { readonly range: ReducedRange }
  | { readonly isDone: true }
  | { readonly refused: readonly Diagnostic[]; readonly status: 1 | 2 };

/** A part that was taken over, and its answer once it is there. */
export interface TakenPart {
  readonly answer: Promise<ReducedPart>;
}

/** Reads logs and runs the log plugins on them in threads beside this one. */
export interface LogPool {
  /**
   * Hands a part over; its columns cannot be used afterwards.
   *
   * @returns undefined when every thread has a part in hand and one waiting: do it yourself rather than wait.
   */
  reduce(part: SoundingLog): TakenPart | undefined;
  /** Lets every thread take ranges of a log until there are none left. */
  reduceRanges(job: RangeJob, take: (range: ReducedRange) => void): Promise<void>;
  /** Gives the threads back. */
  close(): void;
}

/** Parts that a thread may have: one in hand, one waiting, so that it never runs dry. */
const MOST_PARTS = 2;

/** Takes so many threads. The answers do not depend on how many there are. */
export function openLogPool(steps: readonly StepData[], threads: Threads, count: number): LogPool {
  const lanes = Array.from({ length: count }, () => openLane(steps, threads));
  return {
    reduce(part) {
      const lane = lanes.reduce((least, other) => (other.waiting() < least.waiting() ? other : least));
      return lane.waiting() < MOST_PARTS ? { answer: reducePart(lane, part) } : undefined;
    },
    async reduceRanges(job, take) {
      const onAnswer = (answer: LogAnswer): void => {
        if ('range' in answer) take(answer.range);
      };
      await Promise.all(lanes.map((lane) => lane.ask({ ranges: job }, [], onAnswer)));
    },
    close() {
      for (const lane of lanes) lane.close();
    },
  };
}

async function reducePart(lane: Lane, part: SoundingLog): Promise<ReducedPart> {
  const answer = await lane.ask({ part }, buffersOf(part));
  if (!('reduced' in answer)) throw new Error('a thread answered something else than was asked');
  return answer.reduced;
}

/** One thread, which answers in the order it was asked. */
interface Lane {
  /** Requests not answered yet. */
  waiting(): number;
  /** Resolves with the last answer. @param onAnswer Gets every answer. */
  ask(
    request: LogRequest,
    transfer: ArrayBuffer[],
    onAnswer?: (answer: LogAnswer) => void,
  ): Promise<LogAnswer>;
  close(): void;
}

interface Waiting {
  readonly onAnswer?: (answer: LogAnswer) => void;
  readonly resolve: (answer: LogAnswer) => void;
  readonly reject: (cause: unknown) => void;
}

function openLane(steps: readonly StepData[], threads: Threads): Lane {
  const thread = threads.take();
  const port = thread.begin('log', steps);
  const waiting: Waiting[] = [];
  port.on('message', (answer: LogAnswer) => {
    const [first] = waiting;
    first.onAnswer?.(answer);
    if ('range' in answer) return;
    waiting.shift();
    if ('refused' in answer) first.reject(new Refusal(answer.refused, answer.status));
    else first.resolve(answer);
  });
  thread.ended.then((cause) => {
    for (const { reject } of waiting.splice(0))
      reject(cause ?? new Error('a thread ended before it answered'));
  });
  return {
    waiting: () => waiting.length,
    ask: (request, transfer, onAnswer) =>
      new Promise((resolve, reject) => {
        waiting.push({ resolve, reject, onAnswer });
        port.postMessage(request, transfer);
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
