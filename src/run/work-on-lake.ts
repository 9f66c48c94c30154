import { setImmediate } from 'node:timers/promises';
import type { MessagePort } from 'node:worker_threads';
import type { Diagnostic } from '../../shared/contract/index.ts';
import { doLakeTask, type LakeTask, type Rounds } from '../../shared/lake/index.ts';
import { openTileStore, type TileStore } from './store/tile-store.ts';
import type { Thread, Threads } from './threads/threads.ts';

export interface LakeCrew {
  readonly threads: Threads;
  /** Number of threads that work at once, including this one. */
  readonly workers: number;
  /** Results of earlier runs; those of this run are added. */
  readonly store?: TileStore | undefined;
}

/** Pieces of work done here before other threads are started, which would cost more than they save for so few. */
const WORTH_A_THREAD = 16;

/**
 * Runs work on the lake in this thread and others. The result does not depend on their number or on the store.
 *
 * @throws Any error that the rounds throw.
 */
export async function workOnLake<T>(
  rounds: Rounds<T>,
  { threads, workers, store }: LakeCrew,
  progress: (share: number) => void = () => {},
): Promise<T> {
  const crew = new Crew(threads, workers);
  try {
    for (;;) {
      const step = rounds.next();
      if (step.done) return step.value;
      const { count, taskAt, take, shareAt } = step.value;
      await crew.run(
        count,
        (k) => {
          const task = taskAt(k);
          const known = store?.find(task);
          return known === undefined ? { task } : { known };
        },
        (k, answer) => {
          take(k, answer);
          store?.keep(answer);
          progress(shareAt(k));
        },
      );
    }
  } finally {
    crew.close();
  }
}

/** The part of a run's settings that determines how its lake is worked on. */
interface LakeJob {
  readonly workers: number;
  readonly useStore: boolean;
  readonly logFiles: readonly string[];
}

/** Runs the rounds of work on a lake. */
export type WorkOnLake = <T>(rounds: Rounds<T>) => Promise<T>;

/**
 * Runs `use` with a function that works on the lake, using the job's threads and store. The store is saved at the end.
 */
export async function withLakeCrew<T>(
  { workers, useStore, logFiles }: LakeJob,
  threads: Threads,
  report: (diagnostic: Diagnostic) => void,
  progress: (share: number) => void,
  use: (work: WorkOnLake) => Promise<T>,
): Promise<T> {
  const store = useStore ? openTileStore(logFiles[0], report) : undefined;
  const made = await use((rounds) => workOnLake(rounds, { threads, workers, store }, progress));
  await store?.close();
  return made;
}

/** A piece of work, or its result if already known. */
type Piece = { readonly task: LakeTask } | { readonly known: Float32Array };

interface Member {
  readonly thread: Thread;
  readonly port: MessagePort;
}

/** This thread and, once there is enough to do, others, which take pieces of work one at a time. */
class Crew {
  readonly #threads: Threads;
  readonly #others: number;
  readonly #members: Member[] = [];

  constructor(threads: Threads, workers: number) {
    this.#threads = threads;
    this.#others = Math.max(0, workers - 1);
  }

  /**
   * Runs all pieces. @param take Receives the results in order, so that sums do not depend on which thread made them.
   */
  async run(
    count: number,
    pieceAt: (k: number) => Piece,
    take: (k: number, answer: Float32Array) => void,
  ): Promise<void> {
    let [next, taken, doneHere] = [0, 0, 0];
    const answers = new Map<number, Float32Array>();
    const done = (k: number, answer: Float32Array): void => {
      answers.set(k, answer);
      for (let first = answers.get(taken); first !== undefined; first = answers.get(taken)) {
        answers.delete(taken);
        take(taken++, first);
      }
    };
    /** The next piece without a known result. */
    const begin = (): { readonly k: number; readonly task: LakeTask } | undefined => {
      while (next < count) {
        const k = next++;
        const piece = pieceAt(k);
        if ('task' in piece) return { k, task: piece.task };
        done(k, piece.known);
      }
      return undefined;
    };
    const here = async (): Promise<void> => {
      for (let piece = begin(); piece !== undefined; piece = begin()) {
        done(piece.k, doLakeTask(piece.task));
        if (++doneHere === WORTH_A_THREAD) for (const member of this.#start()) join(member);
        // Lets idle threads get their next piece meanwhile.
        await setImmediate();
      }
    };
    const there = async (member: Member): Promise<void> => {
      for (let piece = begin(); piece !== undefined; piece = begin())
        done(piece.k, await askMember(member, piece.task));
    };
    const others: Promise<void>[] = [];
    const join = (member: Member): void => {
      const ended = there(member);
      // A failure is thrown once this thread has finished its pieces.
      ended.catch(() => {});
      others.push(ended);
    };
    this.#members.forEach(join);
    await here();
    await Promise.all(others);
  }

  /** Adds the remaining threads. @returns Those that had not been working before. */
  #start(): Member[] {
    const started = Array.from({ length: this.#others - this.#members.length }, () => {
      const thread = this.#threads.take();
      return { thread, port: thread.begin('lake', undefined) };
    });
    this.#members.push(...started);
    return started;
  }

  close(): void {
    for (const { thread, port } of this.#members.splice(0)) {
      port.close();
      this.#threads.give(thread);
    }
  }
}

function askMember({ thread, port }: Member, task: LakeTask): Promise<Float32Array> {
  return new Promise((resolve, reject) => {
    port.once('message', resolve);
    thread.ended.then((cause) => reject(cause ?? new Error('a thread ended before it answered')));
    port.postMessage(task);
  });
}
