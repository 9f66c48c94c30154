import type { MessagePort } from 'node:worker_threads';
import type { Survey } from '../../shared/contract/index.ts';
import { indexBuffers } from '../../shared/survey/index.ts';

/** Makes the index of a survey; see `early-index.ts`. */
export function serve(survey: Survey, port: MessagePort): void {
  port.postMessage(indexBuffers(survey));
}
