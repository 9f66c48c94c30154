import type { Diagnostic } from './diagnostic.ts';
import type { FieldName } from './fields.ts';
import type { OptionDefinitions } from './options.ts';

/** Services for a plugin while it runs. */
export interface PluginContext {
  /** Reports something about the data; a waypoint plugin need not name the waypoint. */
  report(diagnostic: Diagnostic): void;
  /** Reports the share of the work done, 0 to 1. */
  progress(share: number): void;
  /**
   * False for an internal field that no later plugin and no figure reads, so the plugin need not compute it;
   * always true for public fields.
   */
  isWanted(field: FieldName): boolean;
}

export interface PluginBase<O extends OptionDefinitions> {
  /** Kebab-case; the name of the file without extension. */
  readonly name: string;
  /** One sentence. */
  readonly summary: string;
  readonly options: O;
}
