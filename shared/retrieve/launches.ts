import { memoize } from 'es-toolkit/function';
import { deeperBy, type Lure } from './lures.ts';
import { type Flight, type RetrieveSetup, STATE, simulateRetrieve } from './retrieve.ts';
import type { Scratch } from './scratch.ts';

/** Maximum step of the retrieves that judge a cast, m of line. */
export const JUDGE_STEP = 1.5;
const MOST_KEPT = 32;

/** How a cast and a lure differ from the plan: factors on the cast's length and the lure's depth. */
export interface TackleCase {
  readonly cast: number;
  readonly depth: number;
}

/** Setup of a retrieve, with its path in deep water. */
export interface Launch {
  readonly setup: RetrieveSetup;
  readonly flight: Flight;
}

/**
 * Returns a function from a lure's index and a cast, m, to a function that makes launches by `TackleCase`.
 *
 * Launches are cached, because nearly all casts of a run share a few lengths and lures.
 */
export function launcher(
  lures: readonly Lure[],
  { line, handling }: Pick<RetrieveSetup, 'line' | 'handling'>,
  { path, work }: Scratch,
): (lure: number, cast: number) => (off: TackleCase) => Launch {
  const kept = new Map<string, (off: TackleCase) => Launch>();
  return (lure, cast) => {
    const key = `${lure} ${cast}`;
    if (kept.size === MOST_KEPT && !kept.has(key)) kept.clear();
    const launch =
      kept.get(key) ??
      memoize((off: TackleCase): Launch => {
        const drag = deeperBy(lures[lure].drag, off.depth);
        const setup = { cast: cast * off.cast, line, lure: drag, handling };
        simulateRetrieve(setup, undefined, JUDGE_STEP, path, work);
        const { count } = path;
        const [distance, depth, out] = [path.distance, path.depth, path.line].map((all) =>
          all.slice(0, count),
        );
        const states = work.states.slice(0, count * STATE);
        return { setup, flight: { count, distance, depth, line: out, states } };
      });
    kept.set(key, launch);
    return launch;
  };
}
