import type { Report } from '../../shared/contract/index.ts';
import { type LakeTask, type Rounds, runLakeTask } from '../../shared/lake/index.ts';
import { openTileStore, type TileStore } from './store/tile-store.ts';
import { Pool } from './threads/pool.ts';

/** Pieces of work that take about as long as starting a thread. */
const WORTH_THREADS = 6;

/**
 * Does work on the lake in this thread and others. The result does not depend on their number or on the store.
 *
 * @param store Results of earlier runs; those of this run are added.
 * @throws Any error that the rounds throw.
 */
export async function runLakeRounds<T>(
  rounds: Rounds<T>,
  pool: Pool,
  store: TileStore | undefined,
  progress: (share: number) => void = () => {},
): Promise<T> {
  for (;;) {
    const step = rounds.next();
    if (step.done) return step.value;
    const { count, taskAt, take, shareAt } = step.value;
    await pool.run<LakeTask, Float32Array>({
      task: 'lake',
      count,
      requestAt: taskAt,
      known: store?.find,
      take(k, answer) {
        take(k, answer);
        store?.keep(answer);
        progress(shareAt(k));
      },
      here: runLakeTask,
      worthThreads: WORTH_THREADS,
    });
  }
}

/** The part of a run's settings that determines how its lake is worked on. */
interface LakeJob {
  readonly workers: number;
  readonly useStore: boolean;
  readonly logFiles: readonly string[];
}

export type RunLakeRounds = <T>(rounds: Rounds<T>) => Promise<T>;

/**
 * Runs `use` with a function that works on the lake, using the job's store, which is saved at the end.
 *
 * @param threads Those of the run; by default, the job's number is started and ended.
 */
export async function withLake<T>(
  { workers, useStore, logFiles }: LakeJob,
  report: Report,
  progress: (share: number) => void,
  use: (work: RunLakeRounds) => Promise<T>,
  threads?: Pool,
): Promise<T> {
  const store = useStore ? openTileStore(logFiles[0], report) : undefined;
  const pool = threads ?? new Pool(workers);
  try {
    const made = await use((rounds) => runLakeRounds(rounds, pool, store, progress));
    await store?.close();
    return made;
  } finally {
    if (pool !== threads) await pool.close();
  }
}
