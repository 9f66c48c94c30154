import { expandPaths } from './expand-paths.ts';
import type { Settled } from './settle.ts';

/** Files that a run reads, found before any of them is opened. */
export interface InputFiles {
  readonly waypoints: readonly string[];
  readonly logs: readonly string[];
  readonly tracks: readonly string[];
}

/** Files behind the paths of a command line. @throws Refusal for a path that is not there. */
export function findInputs(settled: Settled): InputFiles {
  return {
    waypoints: expandPaths(settled.positionals, ['.gpx']),
    logs: expandPaths(settled.inputs.soundings ?? [], ['.csv', '.gpx']),
    tracks: expandPaths(settled.inputs.tracks ?? [], ['.gpx']),
  };
}
