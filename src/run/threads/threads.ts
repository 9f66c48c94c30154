import { MessageChannel, type MessagePort, Worker } from 'node:worker_threads';
import { programFile } from '../../program-files.ts';

/** Tasks that a thread can do; each is the `serve` function of a module, such as `log-task.ts`. */
export type TaskName = 'guarded-run' | 'lake' | 'log' | 'second-parser' | 'waypoint';

/** Request to a thread: a task to begin or, without a port, a task to load for later. */
export interface TaskRequest {
  readonly task: TaskName;
  readonly data?: unknown;
  /** The thread's end of the channel for requests and answers. */
  readonly port?: MessagePort;
}

export interface Thread {
  /**
   * Begins a task. @returns The caller's end of the channel for requests and answers; close it when the task is
   * over.
   */
  begin(task: TaskName, data: unknown): MessagePort;
  /** Loads the module of a task as soon as the thread has time. */
  prepare(task: TaskName): void;
  /** Resolves when the thread has ended, with the error that it threw, if any. */
  readonly ended: Promise<unknown>;
  end(): Promise<unknown>;
}

/**
 * Threads of one run. Each does one task after another, because starting a thread takes about 0.1 s, as long as
 * many tasks.
 *
 * A thread that has been taken is reserved until it is given back.
 */
export interface Threads {
  /** Takes an idle thread, else starts a new one. */
  take(): Thread;
  give(thread: Thread): void;
  /** Takes an idle thread, if any; for tasks not worth starting a thread for. */
  takeIdle(): Thread | undefined;
  /** Starts threads ahead of time; they load the module of a task while this thread is busy. */
  prepare(task: TaskName, count: number): void;
  /** Ends all threads, even those still busy. */
  close(): Promise<void>;
}

export function createThreads(): Threads {
  const all: Thread[] = [];
  const idle: Thread[] = [];
  const start = (): Thread => {
    const thread = startThread();
    all.push(thread);
    return thread;
  };
  return {
    take: () => idle.pop() ?? start(),
    takeIdle: () => idle.pop(),
    give(thread) {
      idle.push(thread);
    },
    prepare(task, count) {
      for (let i = 0; i < count; i++) {
        const thread = start();
        thread.prepare(task);
        idle.push(thread);
      }
    },
    async close() {
      await Promise.all(all.map((thread) => thread.end()));
    },
  };
}

function startThread(): Thread {
  // What plugins print must not mix with the program's output.
  const worker = new Worker(programFile('run/threads/thread'), { stdout: true });
  let failure: unknown;
  worker.on('error', (cause) => {
    failure = cause;
  });
  const ended = new Promise((resolve) => {
    worker.on('exit', () => resolve(failure));
  });
  const ask = (request: TaskRequest, transfer: MessagePort[] = []): void =>
    worker.postMessage(request, transfer);
  return {
    begin(task, data) {
      const { port1, port2 } = new MessageChannel();
      ask({ task, data, port: port2 }, [port2]);
      return port1;
    },
    prepare: (task) => ask({ task }),
    ended,
    end: () => worker.terminate(),
  };
}

/** Requests to a task of a thread that answers each, in order. @param port From `begin`. */
export function askInOrder<Q, A>({ ended }: Thread, port: MessagePort) {
  const waiting: { resolve: (answer: A) => void; reject: (cause: unknown) => void }[] = [];
  port.on('message', (answer: A) => waiting.shift()?.resolve(answer));
  ended.then((cause) => {
    for (const { reject } of waiting.splice(0))
      reject(cause ?? new Error('a thread ended before it answered'));
  });
  return {
    /** Number of requests not answered yet. */
    waiting: (): number => waiting.length,
    ask: (request: Q, transfer: ArrayBuffer[] = []): Promise<A> =>
      new Promise((resolve, reject) => {
        waiting.push({ resolve, reject });
        port.postMessage(request, transfer);
      }),
  };
}
