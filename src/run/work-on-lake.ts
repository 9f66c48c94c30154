import { setImmediate } from 'node:timers/promises';
import type { MessagePort } from 'node:worker_threads';
import type { Diagnostic } from '../../shared/contract/index.ts';
import { doLakeTask, type LakeTask, type Rounds } from '../../shared/lake/index.ts';
import { openTileStore, type TileStore } from './store/tile-store.ts';
import type { Thread, Threads } from './threads/threads.ts';

export interface LakeCrew {
  readonly threads: Threads;
  /** Threads that work at once, with this one. */
  readonly workers: number;
  /** Answers of earlier runs; those of this one are kept there. */
  readonly store?: TileStore | undefined;
}

/** Pieces of work done here before other threads are started: for fewer they cost more than they save. */
const WORTH_A_THREAD = 6;

/**
 * Does work on the lake in this thread and others; the answer is the same on any number of them, with and without a store.
 *
 * @throws What the rounds throw.
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

/** What of a run decides how its lake is worked on. */
interface LakeJob {
  readonly workers: number;
  readonly useStore: boolean;
  readonly logFiles: readonly string[];
}

/** Does rounds of work on a lake. */
export type WorkOnLake = <T>(rounds: Rounds<T>) => Promise<T>;

/** Gives what works on a job's lake, with its threads and store; the store is saved when all is done. */
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

/** A piece of work, or its answer where it is known. */
type Piece = { readonly task: LakeTask } | { readonly known: Float32Array };

interface Member {
  readonly thread: Thread;
  readonly port: MessagePort;
}

/** This thread and as many others as may, which take pieces of work one by one; started when there is enough to do. */
class Crew {
  readonly #threads: Threads;
  readonly #others: number;
  readonly #members: Member[] = [];

  constructor(threads: Threads, workers: number) {
    this.#threads = threads;
    this.#others = Math.max(0, workers - 1);
  }

  /** Does all pieces. @param take Gets the answers in order: a sum is the same then whoever made its parts. */
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
    /** The next piece that is not known. */
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
        // Threads that are idle get their next in between.
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
      // A failure is thrown when this thread has done its pieces.
      ended.catch(() => {});
      others.push(ended);
    };
    this.#members.forEach(join);
    await here();
    await Promise.all(others);
  }

  /** Takes what is left of the threads. @returns Those that were not at work before. */
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
