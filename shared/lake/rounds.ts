import { type FormTask, seekForms } from './seek-forms.ts';
import { solveTile } from './solve-tile.ts';
import type { TileTask } from './tiles.ts';

/** A piece of work on the lake as plain data: a tile to solve, or a part in whose draws forms are looked for. */
export type LakeTask = TileTask | FormTask;

export const doLakeTask = (task: LakeTask): Float32Array =>
  'sought' in task ? seekForms(task) : solveTile(task);

/** Pieces of work, each on its own: to be done in any order, on any thread, or taken from what was kept. */
export interface Round {
  readonly count: number;
  readonly taskAt: (k: number) => LakeTask;
  /** Takes the answer of `doLakeTask`: in order, so that a sum is the same however its parts were made. */
  readonly take: (k: number, answer: Float32Array) => void;
  /** Share of the whole work that is done when piece `k` is. */
  readonly shareAt: (k: number) => number;
}

/** Work in rounds, each of which is to be done before the next is asked for. */
export type Rounds<T> = Generator<Round, T, void>;

/** Does all rounds in this thread. @param progress Told the share of the work that is done, 0 to 1. */
export function runHere<T>(rounds: Rounds<T>, progress: (share: number) => void = () => {}): T {
  for (;;) {
    const step = rounds.next();
    if (step.done) return step.value;
    const round = step.value;
    for (let k = 0; k < round.count; k++) {
      round.take(k, doLakeTask(round.taskAt(k)));
      progress(round.shareAt(k));
    }
  }
}
