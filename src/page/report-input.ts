import type {
  Diagnostic,
  DisplayUnits,
  EnrichedWaypoint,
  FieldDefinition,
  SoundingIndex,
  Soundings,
} from '../../shared/contract/index.ts';

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
  readonly day?: ReportDay;
  /** Version of the program, for the foot of the page. */
  readonly version?: string;
}

/** A day plan as a part of the page: a section with the id `day`, and the style that it needs. */
export interface ReportDay {
  readonly markup: string;
  readonly style: string;
}
