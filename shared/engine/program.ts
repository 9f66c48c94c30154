import type {
  Diagnostic,
  DisplayUnits,
  EnrichedWaypoint,
  FieldDefinition,
  Plugin,
  ReadSoundings,
  ReadWaypoint,
  Report,
  Survey,
  Waypoint,
} from '../contract/index.ts';
import type { DayPlan } from '../day/index.ts';
import type { Coverage, PassLine } from '../survey/index.ts';

export interface InputFile {
  /** File name with its extension, used in messages and to detect the format. */
  readonly name: string;
  readonly bytes: Uint8Array;
}

export interface InputWaypoints {
  readonly name: string;
  readonly waypoints: readonly ReadWaypoint[];
}

/** Soundings as columns: typed arrays of equal length. */
export interface InputSoundings extends ReadSoundings {
  readonly name: string;
}

/** Option value: text as on the command line (`'22-27ft'`), a number without a unit, a switch or a list. */
export type OptionInput = string | number | boolean | readonly string[];

/** Input that every call takes. Inputs of one kind must have different names. */
export interface LakeRequest {
  readonly soundings?: readonly (InputFile | InputSoundings)[];
  /** GPX tracks that supply positions for logs that have only times. */
  readonly tracks?: readonly InputFile[];
  /** Files that options refer to (`lures: 'box.csv'`), and companion files of logs (`day1.dbf`). */
  readonly files?: readonly InputFile[];
  /** Options by their command-line names without the leading dashes: `'fish-depth'`, `'ties.correct-lag'`. */
  readonly options?: Readonly<Record<string, OptionInput>>;
  /**
   * Settings of individual logs and of files inside them, by name or pattern:
   * `{ 'day1.csv': { 'depth-unit': 'ft' } }`, `{ 'logs.zip/*.xyz': { crs: 'EPSG:32633' } }`.
   */
  readonly logs?: Readonly<Record<string, Readonly<Record<string, OptionInput>>>>;
  /** Plugins besides the built-in ones. They run in this thread, so a plugin that hangs cannot be stopped. */
  readonly plugins?: readonly Plugin[];
  /** Built-in plugins to leave out. */
  readonly without?: readonly string[];
  /** The date used for `today`, `YYYY-MM-DD`; the local date by default. */
  readonly today?: string;
}

export interface EnrichRequest extends LakeRequest {
  readonly waypoints: readonly (InputFile | InputWaypoints)[];
  /** Whether to keep the bottom model and the paths under the casts, about 100 kB a waypoint. */
  readonly keepInternals?: boolean;
}

export interface CheckRequest extends LakeRequest {
  readonly waypoints?: readonly (InputFile | InputWaypoints)[];
}

export interface PlanRequest extends LakeRequest {
  /** Enriched GPX, or the spots of `enrich`. */
  readonly lake: readonly InputFile[] | readonly EnrichedWaypoint[];
  /** Log of what has been fished so far: CSV, plain lines or GPX. */
  readonly log?: readonly InputFile[];
}

/** Callbacks for progress and messages, and a signal to stop the call. */
export interface ProgramHooks {
  /** @param share Share of the work done, 0 to 1. */
  readonly progress?: (what: string, share?: number) => void;
  /** Called with each message except those of the waypoint and refine stages. The answer holds all messages. */
  readonly report?: Report;
  /** When the signal is aborted, the call rejects with its reason. */
  readonly signal?: AbortSignal;
}

export interface LakeAnswer {
  /** All soundings, cleaned, reduced and at the water level of the plan, with the row counts of each log. */
  readonly survey: Survey;
  /** Logs that were refused; the messages say why. */
  readonly leftOut: readonly string[];
  readonly messages: readonly Diagnostic[];
  readonly units: DisplayUnits;
  /** Date of the plan, `YYYY-MM-DD`. */
  readonly date: string;
}

export interface EnrichAnswer extends LakeAnswer {
  /**
   * The enriched waypoints, in input order. Waypoints without usable coordinates and places that an earlier
   * run added are left out.
   */
  readonly spots: readonly EnrichedWaypoint[];
  /** Fields shown in the table, in order. */
  readonly fields: readonly (readonly [name: string, definition: FieldDefinition])[];
  /** The enriched GPX of each waypoint file, in several files where `max-waypoints` splits it. */
  readonly gpx: readonly InputFile[];
  /** Table as CSV, one row per waypoint. */
  readonly table: string;
  readonly geojson: string;
  /** Files from writers that were given a folder (`layers: 'map'`); names include the folder. */
  readonly files: readonly InputFile[];
}

/** How well the soundings cover one mark. */
export interface MarkCoverage extends Coverage {
  readonly waypoint: string;
  /** Chance that the passes missed a form at the mark, 0 to 1. */
  readonly missed: number;
}

/** A pass worth running, to cover a waypoint better or, without a waypoint, to tie other passes together. */
export interface ProposedPass extends PassLine {
  readonly waypoint?: Waypoint;
  readonly reason: string;
}

export interface CheckAnswer extends LakeAnswer {
  readonly marks: readonly MarkCoverage[];
  readonly passes: readonly ProposedPass[];
  /** The passes as GPX routes. */
  readonly routes: string;
  /** The report as printed by the command. */
  readonly text: string;
}

export interface PlanAnswer extends LakeAnswer {
  readonly plan: DayPlan;
  /** The plan as printed by the command. */
  readonly text: string;
  /** The plan as CSV, one row per stop. */
  readonly csv: string;
  readonly gpx: string;
}
