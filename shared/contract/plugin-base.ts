import type { Diagnostic } from './diagnostic.ts';
import type { FieldName } from './fields.ts';
import type { OptionDefinitions } from './options.ts';

/** Services for a plugin while it runs: reporting and progress. */
export interface PluginContext {
  /** Reports something about the data; the current waypoint, if any, is filled in as the place. */
  report(diagnostic: Diagnostic): void;
  /** Share of the work done, 0 to 1. */
  progress(share: number): void;
  /**
   * True when a later plugin or a figure reads an internal field; a plugin can skip computing a field that
   * nothing reads.
   *
   * Public fields are always wanted.
   */
  isWanted(field: FieldName): boolean;
}

/** What every plugin has. */
export interface PluginBase<O extends OptionDefinitions> {
  /** Kebab-case; the same as the file's name. */
  readonly name: string;
  /** One sentence. */
  readonly summary: string;
  readonly options: O;
}
