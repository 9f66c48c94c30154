import { Refusal } from '../../shared/contract/index.ts';
import type { Given } from '../../shared/engine/index.ts';
import { configKey } from '../../shared/text/index.ts';

/** A configuration file in the form of typed options. */
export interface Config {
  readonly given: readonly Given[];
  /** The user's plugins by reference, as written; relative to `folder`. */
  readonly plugins: readonly string[];
  /**
   * Sets of options by name: for `--preset NAME`, for `--limits NAME` (those of one unit), and for logs whose names match a
   * pattern.
   */
  readonly sets: Readonly<Record<'presets' | 'limit-sets' | 'logs', ReadonlyMap<string, readonly Given[]>>>;
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
  sets: { presets: new Map(), 'limit-sets': new Map(), logs: new Map() },
  folder: '.',
  file: '',
};
