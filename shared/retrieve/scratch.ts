import { type BottomProfile, emptyPath, type RetrievePath } from './path.ts';
import { type RetrieveWorkspace, workspace } from './retrieve.ts';

/** Preallocated arrays of the retrieve model, shared by everything that one tackle computes. */
export interface Scratch {
  readonly path: RetrievePath;
  readonly work: RetrieveWorkspace;
  /** Bottom under a cast, and density of the fish on it, at whole meters from the boat. */
  readonly bottom: BottomProfile & { readonly depth: Float64Array };
  readonly density: BottomProfile & { readonly depth: Float64Array };
}

/** @param longest Longest cast, m. */
export function scratch(longest: number): Scratch {
  const meters = Math.ceil(longest) + 4;
  return {
    path: emptyPath(),
    work: workspace(),
    bottom: { spacing: 1, depth: new Float64Array(meters) },
    density: { spacing: 1, depth: new Float64Array(meters) },
  };
}
