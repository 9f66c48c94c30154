import { Worker } from 'node:worker_threads';
import type { Survey } from '../../shared/contract/soundings.ts';
import { type IndexBuffers, indexBuffers } from '../../shared/survey-index.ts';
import { programFile } from '../program-files.ts';

/** Rows below which a thread takes longer to start than to make the index. */
const ROWS_WORTH_A_THREAD = 200_000;
/** Columns that the index is made from. */
const COLUMNS = ['lat', 'lon', 'depth', 'pass', 'weight'] as const;

/** The index of a survey, made in a thread of its own while the survey plugins run: most change nothing that it is made from. */
export interface EarlyIndex {
  /** The index of the survey as it came out of the plugins. */
  of(survey: Survey): Promise<IndexBuffers>;
  close(): Promise<void>;
}

/** Starts to make the index of a long survey, where there may be threads. */
export function startIndex(survey: Survey, workers: number): EarlyIndex {
  if (workers < 2 || survey.count < ROWS_WORTH_A_THREAD)
    return { of: async (last) => indexBuffers(last), close: async () => {} };
  const worker = new Worker(programFile('pipeline/index-worker'));
  const made = new Promise<IndexBuffers>((resolve, reject) => {
    worker.once('message', resolve);
    worker.once('error', reject);
  });
  // Looked at only where the index is used.
  made.catch(() => {});
  worker.postMessage(survey);
  return {
    of: async (last) => (COLUMNS.every((name) => last[name] === survey[name]) ? made : indexBuffers(last)),
    close: async () => {
      await worker.terminate();
    },
  };
}
