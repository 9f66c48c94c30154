import type {
  Diagnostic,
  DisplayUnits,
  EnrichedWaypoint,
  FieldDefinition,
} from '../../shared/contract/index.ts';
import type { DayPlan } from '../../shared/day/index.ts';
import type { Zone } from '../../shared/geo/index.ts';
import type { LakeModel } from '../../shared/lake/index.ts';
import type { FigureContext, SurveyColumns } from './figure-context.ts';

/** Everything the report page shows. Depths are relative to the plan's water surface, as in the survey. */
export interface ReportInput {
  /** Heading of the page, usually the name of the lake or of the waypoint file. */
  readonly title: string;
  /** Day the plan is for, `YYYY-MM-DD`. */
  readonly date: string;
  readonly units: DisplayUnits;
  readonly waypoints: readonly EnrichedWaypoint[];
  /** All soundings of the lake, drawn in the figures; a `Survey` has these columns. */
  readonly survey: SurveyColumns;
  /** Water surface above the survey datum on the day of the plan, m; absent if depths are used as logged. */
  readonly waterLevel?: number;
  /** Words for the source of the water level, such as `option` or `levels.csv`. */
  readonly waterLevelSource?: string;
  /** Diagnostics of the run that do not concern a single waypoint. */
  readonly diagnostics?: readonly Diagnostic[];
  /** Casts that differ from the earlier output, one message each, with the mark in `place`. */
  readonly changes?: readonly Diagnostic[];
  /** Fields named `PLUGIN.field`, such as those of the user's plugins, shown among the facts of a spot. */
  readonly pluginFields?: Readonly<Record<string, FieldDefinition>>;
  readonly plan?: DayPlan;
  /** The modeled bottom of the whole lake; without a model, the map shows smoothed depths and no lines. */
  readonly lake?: LakeModel | undefined;
  /** Closed and slow-speed zones, for the map. */
  readonly zones?: readonly Zone[];
  readonly version?: string;
}

/** Input shared by the sections of a page. */
export interface PageContext extends FigureContext {
  readonly spots: readonly EnrichedWaypoint[];
  /** True when the page has a section with figures for every spot. */
  readonly hasSections: boolean;
}
