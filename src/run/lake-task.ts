import { runLakeTask } from '../../shared/lake/index.ts';

/** Does pieces of work on the lake; see `lake-pool.ts`. */
export const serve = () => runLakeTask;
