import type { Given } from '../../shared/engine/index.ts';

/** A configuration file as if its keys had been typed. */
export interface Config {
  readonly given: readonly Given[];
  /** Plugins of the user, by reference as written; relative to `folder`. */
  readonly plugins: readonly string[];
  /** Named sets of options; `--preset NAME` takes them. */
  readonly presets: ReadonlyMap<string, readonly Given[]>;
  /** Named sets of options, such as the limits of one unit; `--limits NAME` takes one. */
  readonly limitSets: ReadonlyMap<string, readonly Given[]>;
  /** Options of the logs whose names fit a pattern. */
  readonly logSets: ReadonlyMap<string, readonly Given[]>;
  readonly folder: string;
  readonly file: string;
}

/** Of a run that is given a unit and no configuration. */
export const EMPTY_CONFIG: Config = {
  given: [],
  plugins: [],
  presets: new Map(),
  limitSets: new Map(),
  logSets: new Map(),
  folder: '.',
  file: '',
};
