import type { MessagePort } from 'node:worker_threads';
import { doLakeTask, type LakeTask } from '../../shared/lake/index.ts';

/** Runs pieces of work on the lake and answers in the order of the requests; see `lake-pool.ts`. */
export function serve(_: undefined, port: MessagePort): void {
  port.on('message', (task: LakeTask) => {
    const answer = doLakeTask(task);
    port.postMessage(answer, [answer.buffer as ArrayBuffer]);
  });
}
