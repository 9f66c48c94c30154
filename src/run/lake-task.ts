import type { MessagePort } from 'node:worker_threads';
import { formsOfDraws, solveTile } from '../../shared/lake/index.ts';
import type { LakeWork } from './model-lake.ts';

/**
 * Solves tiles of the lake and finds forms in its random draws; see `model-lake.ts`. Answers in the order of the
 * requests.
 */
export function serve(_: undefined, port: MessagePort): void {
  port.on('message', (work: LakeWork) => {
    if ('tile' in work) {
      const solved = solveTile(work.tile);
      port.postMessage(solved, [solved.buffer as ArrayBuffer]);
    } else port.postMessage(formsOfDraws(work.lattice, work.draws, work.sought));
  });
}
