import type { Survey } from '../../shared/contract/index.ts';
import { type IndexBuffers, indexBuffers } from '../../shared/survey/index.ts';
import type { TaskName, Threads } from './threads/threads.ts';

/** Rows below which it takes longer to hand the survey to a thread than to make the index. */
const ROWS_WORTH_A_THREAD = 200_000;
/** Columns that the index is made from. */
const COLUMNS = ['lat', 'lon', 'depth', 'pass', 'weight'] as const;

/** Index of the survey after the survey plugins. */
export type IndexOf = (last: Survey) => Promise<IndexBuffers>;

/**
 * Starts to make the index of a long survey in a thread while the survey plugins run: most change nothing that it is
 * made
 * from.
 *
 * @param threads Undefined where there may be none.
 * @param next What the thread is to load when it is done, for what it will be asked then.
 */
export function startIndex(
  survey: Survey,
  threads: Threads | undefined,
  next: TaskName | undefined,
): IndexOf {
  if (threads === undefined || survey.count < ROWS_WORTH_A_THREAD) return async (last) => indexBuffers(last);
  const thread = threads.take();
  const port = thread.begin('index', survey);
  if (next !== undefined) thread.prepare(next);
  const made = new Promise<IndexBuffers>((resolve, reject) => {
    port.once('message', (buffers: IndexBuffers) => {
      port.close();
      threads.give(thread);
      resolve(buffers);
    });
    thread.ended.then((cause) => reject(cause ?? new Error('a thread ended before the index was made')));
  });
  // Looked at only where the index is used.
  made.catch(() => {});
  return async (last) => (COLUMNS.every((name) => last[name] === survey[name]) ? made : indexBuffers(last));
}
