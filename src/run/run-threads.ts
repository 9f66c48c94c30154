import { statSync } from 'node:fs';
import type { Pipeline } from '../../shared/engine/index.ts';
import { createThreads, type Threads } from './threads/threads.ts';

/** Total size of logs below which a thread takes longer to start and warm up than it saves, bytes. */
const BYTES_WORTH_A_WORKER = 24e6;

/** What says how many threads a run is worth. */
interface ThreadedJob {
  readonly pipeline: Pipeline;
  readonly logFiles: readonly string[];
  readonly workers: number;
}

/**
 * Provides threads for a run and ends them afterward. Call it as soon as the logs are known.
 *
 * Threads that are certain to be used start at once, while this thread loads and reads.
 */
export async function withThreads<T>(job: ThreadedJob, run: (threads: Threads) => Promise<T>): Promise<T> {
  const threads = createThreads();
  threads.prepare('log', threadsForLogs(job, job.logFiles));
  try {
    return await run(threads);
  } finally {
    await threads.close();
  }
}

/**
 * Number of additional threads that run log plugins: all that are allowed when there is enough to read; none when
 * the user has log plugins.
 */
export const threadsForLogs = (
  { pipeline, workers }: Omit<ThreadedJob, 'logFiles'>,
  files: readonly string[],
): number =>
  bytesOf(files) < BYTES_WORTH_A_WORKER || pipeline.log.some(({ isUserPlugin }) => isUserPlugin)
    ? 0
    : workers - 1;

const bytesOf = (files: readonly string[]): number =>
  files.reduce((sum, file) => sum + (statSync(file, { throwIfNoEntry: false })?.size ?? 0), 0);
