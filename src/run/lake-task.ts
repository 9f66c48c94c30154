import type { MessagePort } from 'node:worker_threads';
import { formsOfDraws, solveTile } from '../../shared/lake/index.ts';
import type { LakeWork } from './model-lake.ts';

/** Solves tiles of the lake and looks at its draws, see `model-lake.ts`; answers in the order it is asked. */
export function serve(_: undefined, port: MessagePort): void {
  port.on('message', (work: LakeWork) => {
    if ('tile' in work) {
      const solved = solveTile(work.tile);
      port.postMessage(solved, [solved.buffer as ArrayBuffer]);
    } else port.postMessage(formsOfDraws(work.lattice, work.draws, work.sought));
  });
}
