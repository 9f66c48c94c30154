import { Refusal } from '../../shared/contract/index.ts';
import type { Given } from '../../shared/engine/index.ts';
import { configKey } from '../../shared/text/index.ts';

/** A configuration file in the form of typed options. */
export interface Config {
  readonly given: readonly Given[];
  /** The user's plugins by reference, as written; relative to `folder`. */
  readonly plugins: readonly string[];
  /** Named sets of options, used by `--preset NAME`. */
  readonly presets: ReadonlyMap<string, readonly Given[]>;
  /** Named sets of options, such as the limits of one unit, used by `--limits NAME`. */
  readonly limitSets: ReadonlyMap<string, readonly Given[]>;
  /** Options for logs whose names match a pattern. */
  readonly logSets: ReadonlyMap<string, readonly Given[]>;
  readonly folder: string;
  readonly file: string;
}

/** Refuses an option of a configuration. @param expected What it should be. */
export function refuseKey({ flag, wording }: Given, expected: string): never {
  const [, file, line] = /\((.*?)(?::(\d+))?\)$/.exec(wording) ?? [];
  throw new Refusal([configKey(file, line === undefined ? undefined : Number(line), flag, expected)], 2);
}

/** Configuration of a run that has a unit but no configuration file. */
export const EMPTY_CONFIG: Config = {
  given: [],
  plugins: [],
  presets: new Map(),
  limitSets: new Map(),
  logSets: new Map(),
  folder: '.',
  file: '',
};
