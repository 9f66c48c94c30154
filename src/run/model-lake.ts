import type { Report } from '../../shared/contract/index.ts';
import { type LakeTask, type Rounds, runLakeTask } from '../../shared/lake/index.ts';
import { openTileStore, type TileStore } from './store/tile-store.ts';
import { Pool } from './threads/pool.ts';

/** Number of pieces of lake work that together take about as long as starting a thread. */
const WORTH_THREADS = 6;

/**
 * Runs rounds of lake work in this thread and others. Threads and store do not change the result.
 *
 * @param store Answers of earlier runs; answers of this run are added.
 * @throws Any error of the rounds or of their tasks.
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

interface LakeJob {
  readonly workers: number;
  readonly useStore: boolean;
  readonly logFiles: readonly string[];
}

export type RunLakeRounds = <T>(rounds: Rounds<T>) => Promise<T>;

/**
 * Calls `use` with a function that runs lake rounds on a pool. With `useStore`, known answers come from the
 * lake's store, and new answers are saved there when `use` succeeds.
 *
 * @param threads Pool of the run. Without one, a pool of `workers` threads is started and closed here.
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
