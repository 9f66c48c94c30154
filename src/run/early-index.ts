import type { Survey } from '../../shared/contract/index.ts';
import { type IndexBuffers, indexBuffers } from '../../shared/survey/index.ts';
import type { TaskName, Threads } from './threads/threads.ts';

/** Number of rows below which passing the survey to a thread takes longer than making the index. */
const ROWS_WORTH_A_THREAD = 200_000;
/** Columns that the index depends on. */
const COLUMNS = ['lat', 'lon', 'depth', 'pass', 'weight'] as const;

/** Returns the index of the survey as it is after the survey plugins. */
export type IndexOf = (last: Survey) => Promise<IndexBuffers>;

/**
 * Starts making the index of a long survey in a thread while the survey plugins run. The result is usually still
 * valid afterward, since most plugins change none of the columns it depends on.
 *
 * @param threads Undefined when no threads may be used.
 * @param next Task that the thread loads when the index is done, to be ready for it.
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
  // A failure is handled only where the index is used; until then it must not count as unhandled.
  made.catch(() => {});
  return async (last) => (COLUMNS.every((name) => last[name] === survey[name]) ? made : indexBuffers(last));
}
