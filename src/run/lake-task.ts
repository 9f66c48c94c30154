import type { MessagePort } from 'node:worker_threads';
import { doLakeTask, type LakeTask } from '../../shared/lake/index.ts';

/** Does pieces of work on the lake, see `work-on-lake.ts`; answers in the order it is asked. */
export function serve(_: undefined, port: MessagePort): void {
  port.on('message', (task: LakeTask) => {
    const answer = doLakeTask(task);
    port.postMessage(answer, [answer.buffer as ArrayBuffer]);
  });
}
