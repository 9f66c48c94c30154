import { type BottomProfile, emptyPath } from './path.ts';
import { workspace } from './retrieve.ts';

export type Scratch = ReturnType<typeof scratch>;

/** Allocates the arrays that all computations for one tackle share. @param longest Longest cast, m. */
export function scratch(longest: number) {
  const profile = () =>
    ({ spacing: 1, depth: new Float64Array(Math.ceil(longest) + 4) }) satisfies BottomProfile;
  return {
    path: emptyPath(),
    work: workspace(),
    /** Bottom under a cast at whole meters from the boat. */
    bottom: profile(),
    /** Relative density of the fish at whole meters from the boat. */
    density: profile(),
  };
}
