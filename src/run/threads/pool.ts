import { setImmediate } from 'node:timers/promises';
import { MessageChannel, type MessagePort, Worker } from 'node:worker_threads';
import { type Diagnostic, Refusal } from '../../../shared/contract/index.ts';
import { programFile } from '../../program-files.ts';
import { createHeartbeat, watchHeartbeat } from './heartbeat.ts';

/** Tasks that a thread can do. Each is the `serve` function of a module; see `thread.ts`. */
export type TaskName = 'lake' | 'run' | 'waypoint';

export interface TaskStart {
  readonly task: TaskName;
  readonly setup: unknown;
  readonly heartbeat: SharedArrayBuffer;
  /** The thread's end of the channel for requests and messages. */
  readonly port: MessagePort;
}

/** Message from a thread: news ahead of an answer, an answer, or the reasons for refusing a request. */
export type Message =
  | { readonly said: unknown }
  | { readonly answer: unknown }
  | { readonly refused: readonly Diagnostic[]; readonly status: 1 | 2 };

/** Work of one task, in pieces. Each piece is a request `Q` that gets an answer `A`. */
interface Work<Q, A> {
  readonly task: TaskName;
  /** Data that each thread gets before its first request. */
  readonly setup?: unknown;
  readonly count: number;
  /** Returns the answer to a request if it is already known. */
  readonly known?: (request: Q) => A | undefined;
  /** Returns the request of piece `k`. Called in order of `k`, and again for a piece lost with its thread. */
  readonly requestAt: (k: number) => Q;
  /** Receives the answers in the order of the pieces, so that sums do not depend on timing. */
  readonly take: (k: number, answer: A) => void;
}

/** Work that the calling thread can do too. */
interface SharedWork<Q, A> extends Work<Q, A> {
  /** Does a piece in the calling thread. */
  readonly here: (request: Q) => A;
  /** Number of pieces done here before threads are started: for fewer, a start costs more than it saves. */
  readonly worthThreads: number;
}

/** Work done only in other threads, since its plugins may hang or end their thread. */
interface WatchedWork<Q, A> extends Work<Q, A> {
  /** Maximum time of a step, s. */
  readonly patience: number;
  /**
   * Called for a piece lost with its thread; the piece is done again unless the call throws.
   * @param step Step that was running; undefined between steps.
   */
  readonly onLost: (k: number, step: number | undefined, isHung: boolean) => void;
  readonly onSaid?: (said: never) => void;
}

/** Threads of one run. A thread does one task after another, since starting a thread takes about 0.1 s. */
export class Pool {
  readonly #workers: number;
  readonly #all = new Set<Thread>();
  readonly #idle: Thread[] = [];
  #isClosed = false;

  /** @param workers Number of threads that work at once. In `run`, this thread is one of them. */
  constructor(workers: number) {
    this.#workers = workers;
  }

  /** Does all pieces in this thread and others; idle threads join first. @throws Any error of a piece. */
  async run<Q, A>(work: SharedWork<Q, A>): Promise<void> {
    const { count, here, worthThreads } = work;
    const pieces = piecesOf(work);
    const joined: Thread[] = [];
    const others: Promise<unknown>[] = [];
    const there = async (thread: Thread): Promise<void> => {
      for (let piece = pieces.begin(); piece !== undefined; piece = pieces.begin())
        pieces.done(piece.k, await thread.ask<A>(piece.request));
    };
    const join = (most: number): void => {
      while (joined.length < most) {
        const thread = this.#begin(work);
        joined.push(thread);
        // The other thread gets two pieces at a time, so that it has work while this thread is busy.
        const ended = Promise.all([there(thread), there(thread)]);
        // A failure is thrown once this thread has finished its pieces.
        ended.catch(() => {});
        others.push(ended);
      }
    };
    let doneHere = 0;
    for (let piece = pieces.begin(); piece !== undefined; piece = pieces.begin()) {
      if (doneHere === 0 && count > worthThreads) join(Math.min(this.#workers - 1, this.#idle.length));
      pieces.done(piece.k, here(piece.request));
      if (++doneHere === worthThreads) join(this.#workers - 1);
      // Lets the answers of other threads arrive here, so that those threads get their next pieces.
      await setImmediate();
    }
    await Promise.all(others);
    this.#idle.push(...joined);
  }

  /**
   * Does all pieces in other threads, and ends these threads, since a plugin may have changed their state.
   *
   * @throws Any error or Refusal of a piece.
   */
  async runWatched<Q, A>(work: WatchedWork<Q, A>): Promise<void> {
    const pieces = piecesOf(work);
    const inThread = async (): Promise<void> => {
      let thread: Thread | undefined;
      try {
        for (let piece = pieces.begin(); piece !== undefined; piece = pieces.begin()) {
          thread ??= this.#begin(work, work.onSaid);
          if (await this.#finish(piece, pieces, thread, work)) continue;
          pieces.again(piece.k);
          thread = undefined;
        }
      } finally {
        await thread?.end();
      }
    };
    const threads = Math.max(1, Math.min(work.count, this.#workers));
    await Promise.all(Array.from({ length: threads }, inThread));
  }

  /** Does a piece in another thread. @returns False if the thread hung or ended; `onLost` was then called. */
  async #finish<Q, A>(
    { k, request }: Piece<Q>,
    pieces: Pieces<Q, A>,
    thread: Thread,
    { patience, onLost }: WatchedWork<Q, A>,
  ): Promise<boolean> {
    let isHung = false;
    const stop = watchHeartbeat(thread.heartbeat, patience, () => {
      isHung = true;
      void thread.end();
    });
    try {
      pieces.done(k, await thread.ask<A>(request));
      return true;
    } catch (cause) {
      if (!(cause instanceof ThreadEnded) || this.#isClosed) throw cause;
      onLost(k, thread.heartbeat.current(), isHung);
      return false;
    } finally {
      stop();
    }
  }

  async close(): Promise<void> {
    this.#isClosed = true;
    await Promise.all([...this.#all].map((thread) => thread.end()));
  }

  #begin(
    { task, setup }: Pick<Work<never, never>, 'task' | 'setup'>,
    onSaid?: (said: never) => void,
  ): Thread {
    const thread = this.#idle.pop() ?? new Thread();
    this.#all.add(thread);
    thread.begin(task, setup, onSaid);
    return thread;
  }
}

interface Piece<Q> {
  readonly k: number;
  readonly request: Q;
}

type Pieces<Q, A> = ReturnType<typeof piecesOf<Q, A>>;

/** Hands out the pieces of work in order. A piece lost with its thread is handed out again. */
function piecesOf<Q, A>({ count, requestAt, known, take }: Work<Q, A>) {
  const lost: number[] = [];
  const answers = new Map<number, A>();
  let next = 0;
  let taken = 0;
  const done = (k: number, answer: A): void => {
    answers.set(k, answer);
    for (let first = answers.get(taken); first !== undefined; first = answers.get(taken)) {
      answers.delete(taken);
      take(taken++, first);
    }
  };
  return {
    done,
    /** Returns the next piece without a known answer; undefined when there is none. */
    begin(): Piece<Q> | undefined {
      for (;;) {
        const k = lost.pop() ?? next++;
        if (k >= count) return undefined;
        const request = requestAt(k);
        const answer = known?.(request);
        if (answer === undefined) return { k, request };
        done(k, answer);
      }
    },
    again: (k: number): void => void lost.push(k),
  };
}

/** Error of a request whose thread ended before it answered. */
class ThreadEnded extends Error {
  override readonly name = 'ThreadEnded';
}

class Thread {
  readonly heartbeat = createHeartbeat();
  // What plugins print must not mix with the program's output.
  readonly #worker = new Worker(programFile('run/threads/thread'), { stdout: true });
  readonly #waiting: { resolve: (answer: never) => void; reject: (cause: unknown) => void }[] = [];
  #port: MessagePort | undefined;

  constructor() {
    let failure: unknown = new ThreadEnded();
    this.#worker.on('error', (cause) => {
      failure = cause;
    });
    this.#worker.on('exit', () => {
      for (const { reject } of this.#waiting.splice(0)) reject(failure);
    });
  }

  begin(task: TaskName, setup: unknown, onSaid?: (said: never) => void): void {
    const { port1, port2 } = new MessageChannel();
    port1.on('message', (message: Message) => {
      if ('said' in message) return onSaid?.(message.said as never);
      const { resolve, reject } = this.#waiting.shift()!;
      if ('refused' in message) reject(new Refusal(message.refused, message.status));
      else resolve(message.answer as never);
    });
    this.#port?.close();
    this.#port = port1;
    const start: TaskStart = { task, setup, heartbeat: this.heartbeat.buffer, port: port2 };
    this.#worker.postMessage(start, [port2]);
  }

  /** Sends a request. Answers come in the order of the requests. */
  ask<A>(request: unknown): Promise<A> {
    return new Promise<A>((resolve, reject) => {
      this.#waiting.push({ resolve, reject });
      this.#port?.postMessage(request);
    });
  }

  end(): Promise<unknown> {
    this.#port?.close();
    return this.#worker.terminate();
  }
}
