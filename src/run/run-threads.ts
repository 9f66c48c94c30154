import { statSync } from 'node:fs';
import type { PipelineJob } from './run-pipeline.ts';
import { createThreads, type Threads } from './threads/threads.ts';

/** Bytes of logs below which a thread takes longer to load and warm up than it saves. */
const BYTES_WORTH_A_WORKER = 24e6;

/**
 * Opens threads for a run, and ends them after it: to be called as soon as the logs are known.
 *
 * Those that are certain to be used start at once, beside whatever this thread loads and reads.
 */
export async function withThreads<T>(
  job: Pick<PipelineJob, 'pipeline' | 'logFiles' | 'workers'>,
  run: (threads: Threads) => Promise<T>,
): Promise<T> {
  const threads = createThreads();
  threads.prepare('log', threadsForLogs(job, job.logFiles));
  try {
    return await run(threads);
  } finally {
    await threads.close();
  }
}

/** How many threads beside this one read logs: as many as may, where there is enough to read; none for plugins not ours. */
export const threadsForLogs = (
  { pipeline, workers }: Pick<PipelineJob, 'pipeline' | 'workers'>,
  files: readonly string[],
): number =>
  bytesOf(files) < BYTES_WORTH_A_WORKER || pipeline.log.some(({ isOwn }) => isOwn) ? 0 : workers - 1;

const bytesOf = (files: readonly string[]): number =>
  files.reduce((sum, file) => sum + (statSync(file, { throwIfNoEntry: false })?.size ?? 0), 0);
