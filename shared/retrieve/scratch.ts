import { emptyPath, type RetrievePath } from './path.ts';
import { type RetrieveWorkspace, workspace } from './retrieve.ts';

/** Preallocated arrays of the retrieve model, shared by everything that one tackle computes. */
export interface Scratch {
  readonly path: RetrievePath;
  readonly work: RetrieveWorkspace;
}

export const scratch = (): Scratch => ({ path: emptyPath(), work: workspace() });
