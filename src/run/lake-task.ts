import type { MessagePort } from 'node:worker_threads';
import { type LakeTask, runLakeTask } from '../../shared/lake/index.ts';

/** Runs pieces of work on the lake and answers in the order of the requests; see `lake-pool.ts`. */
export function serve(_: undefined, port: MessagePort): void {
  port.on('message', (task: LakeTask) => {
    const answer = runLakeTask(task);
    port.postMessage(answer, [answer.buffer as ArrayBuffer]);
  });
}
