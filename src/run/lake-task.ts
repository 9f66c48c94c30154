import { runLakeTask } from '../../shared/lake/index.ts';

/** Does pieces of work on the lake; see `model-lake.ts`. */
export const serve = () => runLakeTask;
