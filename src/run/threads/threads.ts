import { MessageChannel, type MessagePort, Worker } from 'node:worker_threads';
import { programFile } from '../../program-files.ts';

/** What a thread can be asked to do: each is the `serve` of a module of that name, `log-task.ts` and so on. */
export type TaskName = 'engine' | 'index' | 'lake' | 'log' | 'second-parser' | 'waypoint';

/** What a thread is sent: a task to begin, or, without a port, one to load for later. */
export interface TaskRequest {
  readonly task: TaskName;
  readonly data?: unknown;
  /** The thread's end of what it is asked through and answers with. */
  readonly port?: MessagePort;
}

export interface Thread {
  /** Begins a task. @returns This end of what it is asked through and answers with; to be closed when it is over. */
  begin(task: TaskName, data: unknown): MessagePort;
  /** Loads what a task needs, as soon as the thread has time. */
  prepare(task: TaskName): void;
  /** Resolves when the thread has ended, with what it threw, if anything. */
  readonly ended: Promise<unknown>;
  end(): Promise<unknown>;
}

/**
 * Threads of one run, each doing one task after another: a thread takes about 0.1 s to start, as much as many a task.
 *
 * Nobody else may use a thread that was taken, until it is given back.
 */
export interface Threads {
  /** One that is idle, else a new one. */
  take(): Thread;
  give(thread: Thread): void;
  /** Takes one that is idle, if there is one: for what is not worth starting a thread. */
  takeIdle(): Thread | undefined;
  /** Starts threads ahead, which load what a task needs while this one is busy. */
  prepare(task: TaskName, count: number): void;
  /** Ends all of them, whatever they do. */
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
  // What plugins print must not get among the output.
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
