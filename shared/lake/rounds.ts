import { countForms, type FormTask } from './count-forms.ts';
import { solveTile } from './solve-tile.ts';
import type { TileTask } from './tiles.ts';

/**
 * A piece of work on the lake as plain data: a tile to solve, or a part of the lake in whose draws forms are sought.
 */
export type LakeTask = TileTask | FormTask;

export const runLakeTask = (task: LakeTask): Float32Array =>
  'counted' in task ? countForms(task) : solveTile(task);

/** Independent pieces of work, to be done in any order on any thread, or taken from stored answers. */
export interface Round {
  readonly count: number;
  readonly taskAt: (k: number) => LakeTask;
  /** Takes the answer to piece `k`; called in order of `k`, so that sums are always added up alike. */
  readonly take: (k: number, answer: Float32Array) => void;
  /** Share of the whole work done after piece `k`. */
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
