import type {
  Diagnostic,
  DisplayUnits,
  EnrichedWaypoint,
  FieldDefinition,
  SoundingIndex,
  Soundings,
} from '../../shared/contract/index.ts';
import type { DayPlan } from '../../shared/day/index.ts';
import type { Zone } from '../../shared/geo/index.ts';
import type { LakeModel } from '../../shared/lake/index.ts';
import type { FigureContext } from './plan-figure.ts';

/** Everything the report page shows. Depths count from the plan's water surface, as in the survey. */
export interface ReportInput {
  /** Heading of the page, usually the name of the lake or of the waypoint file. */
  readonly title: string;
  /** Day the plan is for, `YYYY-MM-DD`. */
  readonly date: string;
  readonly units: DisplayUnits;
  readonly waypoints: readonly EnrichedWaypoint[];
  /** All soundings of the lake, for coverage and the overview; a `Survey` fits. */
  readonly survey: Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth' | 'pass'>;
  /** Finds the soundings round a spot; made from the survey when absent. */
  readonly index?: SoundingIndex;
  /** Water surface above the survey datum on that day, m, positive up; absent when depths were taken as logged. */
  readonly waterLevel?: number;
  /** Where the water level is from, in words: `option`, `levels.csv`. */
  readonly waterLevelSource?: string;
  /** Diagnostics of the run that belong to no single waypoint. */
  readonly diagnostics?: readonly Diagnostic[];
  /** What changed since the run that the waypoints come from, each with its waypoint as the place. */
  readonly changes?: readonly Diagnostic[];
  /** Said besides the standing cautions. */
  readonly cautions?: readonly string[];
  /** Fields of the person's own plugins, `PLUGIN.field`, shown among the facts of a spot. */
  readonly ownFields?: Readonly<Record<string, FieldDefinition>>;
  /** The day plan, when the page carries one. */
  readonly plan?: DayPlan;
  /** The bottom of the whole lake, where it was modeled: the map then shows its contours, lips and humps. */
  readonly lake?: LakeModel | undefined;
  /** Closed and slow water, for the map. */
  readonly zones?: readonly Zone[];
  /** Version of the program, for the foot of the page. */
  readonly version?: string;
}

/** What the parts of one page share. */
export interface PageContext {
  readonly units: DisplayUnits;
  readonly spots: readonly EnrichedWaypoint[];
  /** Whether the page has a section for every spot, with its figures. */
  readonly hasSections: boolean;
  readonly figures: FigureContext;
}
