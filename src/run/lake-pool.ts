import { setImmediate } from 'node:timers/promises';
import type { MessagePort } from 'node:worker_threads';
import type { Report } from '../../shared/contract/index.ts';
import { type LakeTask, type Rounds, runLakeTask } from '../../shared/lake/index.ts';
import { openTileStore, type TileStore } from './store/tile-store.ts';
import type { Thread, Threads } from './threads/threads.ts';

export interface LakePoolOptions {
  readonly threads: Threads;
  /** Number of threads that work at once, including this one. */
  readonly workers: number;
  /** Results of earlier runs; those of this run are added. */
  readonly store?: TileStore | undefined;
}

/**
 * Pieces of work done here before other threads are started, which would cost more than they save for so few. Idle threads
 * join at once.
 */
const WORTH_A_THREAD = 6;

/**
 * Runs work on the lake in this thread and others. The result does not depend on their number or on the store.
 *
 * @throws Any error that the rounds throw.
 */
export async function runLakeRounds<T>(
  rounds: Rounds<T>,
  { threads, workers, store }: LakePoolOptions,
  progress: (share: number) => void = () => {},
): Promise<T> {
  const pool = new LakePool(threads, workers);
  try {
    for (;;) {
      const step = rounds.next();
      if (step.done) return step.value;
      const { count, taskAt, take, shareAt } = step.value;
      await pool.run(
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
    pool.close();
  }
}

/** The part of a run's settings that determines how its lake is worked on. */
interface LakeJob {
  readonly workers: number;
  readonly useStore: boolean;
  readonly logFiles: readonly string[];
}

export type RunLakeRounds = <T>(rounds: Rounds<T>) => Promise<T>;

/**
 * Runs `use` with a function that works on the lake, using the job's threads and store. The store is saved at the end.
 */
export async function withLakePool<T>(
  { workers, useStore, logFiles }: LakeJob,
  threads: Threads,
  report: Report,
  progress: (share: number) => void,
  use: (work: RunLakeRounds) => Promise<T>,
): Promise<T> {
  const store = useStore ? openTileStore(logFiles[0], report) : undefined;
  const made = await use((rounds) => runLakeRounds(rounds, { threads, workers, store }, progress));
  await store?.close();
  return made;
}

/** A piece of work, or its result if already known. */
type Piece = { readonly task: LakeTask } | { readonly known: Float32Array };

interface PoolThread {
  readonly thread: Thread;
  readonly port: MessagePort;
}

/** This thread and, once there is enough to do, others, which take pieces of work one at a time. */
class LakePool {
  readonly #threads: Threads;
  readonly #others: number;
  readonly #poolThreads: PoolThread[] = [];

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
        if (doneHere === 0) this.#add(this.#threads.takeIdle).forEach(join);
        done(piece.k, runLakeTask(piece.task));
        if (++doneHere === WORTH_A_THREAD) this.#add(this.#threads.take).forEach(join);
        // Lets idle threads get their next piece meanwhile.
        await setImmediate();
      }
    };
    const there = async (poolThread: PoolThread): Promise<void> => {
      for (let piece = begin(); piece !== undefined; piece = begin())
        done(piece.k, await runTask(poolThread, piece.task));
    };
    const others: Promise<void>[] = [];
    const join = (poolThread: PoolThread): void => {
      const ended = there(poolThread);
      // A failure is thrown once this thread has finished its pieces.
      ended.catch(() => {});
      others.push(ended);
    };
    this.#poolThreads.forEach(join);
    await here();
    await Promise.all(others);
  }

  /** Adds the remaining threads while there are any. @returns Those that had not been working before. */
  #add(take: () => Thread | undefined): PoolThread[] {
    const added: PoolThread[] = [];
    while (this.#poolThreads.length + added.length < this.#others) {
      const thread = take();
      if (thread === undefined) break;
      added.push({ thread, port: thread.begin('lake', undefined) });
    }
    this.#poolThreads.push(...added);
    return added;
  }

  close(): void {
    for (const { thread, port } of this.#poolThreads.splice(0)) {
      port.close();
      this.#threads.give(thread);
    }
  }
}

function runTask({ thread, port }: PoolThread, task: LakeTask): Promise<Float32Array> {
  return new Promise((resolve, reject) => {
    port.once('message', resolve);
    thread.ended.then((cause) => reject(cause ?? new Error('a thread ended before it answered')));
    port.postMessage(task);
  });
}
