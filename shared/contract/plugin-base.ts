import type { Diagnostic } from './diagnostic.ts';
import type { FieldName } from './fields.ts';
import type { OptionDefinitions } from './options.ts';

/** Services for a plugin while it runs. */
export interface PluginContext {
  /** Reports something about the data. The program adds the waypoint to reports of a waypoint plugin. */
  report(diagnostic: Diagnostic): void;
  /** Reports the share of the work done, 0 to 1. */
  progress(share: number): void;
  /**
   * Tells a waypoint plugin whether to compute a field: true for public fields, and for internal fields that
   * a plugin or figure reads. The result has no meaning at other stages.
   */
  isWanted(field: FieldName): boolean;
}

export interface PluginBase<O extends OptionDefinitions> {
  /** Kebab-case. */
  readonly name: string;
  /** One sentence. */
  readonly summary: string;
  readonly options: O;
}
