import { runLakeTask } from '../../shared/lake/index.ts';

/** Serves pieces of work on the lake in a thread; see `runLakeRounds`. */
export const serve = () => runLakeTask;
