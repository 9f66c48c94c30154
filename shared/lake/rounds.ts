import { countForms, type FormTask } from './count-forms.ts';
import { solveTile } from './solve-tile.ts';
import type { TileTask } from './tiles.ts';

/** Task as plain data: a tile to solve, or a part of the lake where forms are counted in the draws. */
export type LakeTask = TileTask | FormTask;

export const runLakeTask = (task: LakeTask): Float32Array =>
  'counted' in task ? countForms(task) : solveTile(task);

/** Independent tasks. Any thread may run a task, in any order, or a stored answer may be used instead. */
export interface Round {
  readonly count: number;
  readonly taskAt: (k: number) => LakeTask;
  /** Takes the answer to task `k`; called in order of `k`, so that sums round the same in every run. */
  readonly take: (k: number, answer: Float32Array) => void;
  /** Share of the whole work done after task `k`. */
  readonly shareAt: (k: number) => number;
}

/** Work in rounds; each round must be finished before the next is requested. */
export type Rounds<T> = Generator<Round, T, void>;

/** Does all rounds in this thread. @param progress Receives the share of the work done, 0 to 1. */
export function runInline<T>(rounds: Rounds<T>, progress: (share: number) => void = () => {}): T {
  for (;;) {
    const step = rounds.next();
    if (step.done) return step.value;
    const round = step.value;
    for (let k = 0; k < round.count; k++) {
      round.take(k, runLakeTask(round.taskAt(k)));
      progress(round.shareAt(k));
    }
  }
}
